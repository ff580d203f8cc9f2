#pragma once

#include <optional>

namespace gyle {

// How warm the beer is taken to be from now on: as now until the step is due, then as the plan wants, and
// from the begin of a supposed hold on as that wants.
//   units  hours since the pitch; thermal hours; speeds in thermal hours per hour
struct WarmthAhead {
  struct Supposed {
    double from_h;  // not before now
    double speed;
  };
  double now_h;
  double now_thermal_h;
  double speed_now;
  double speed_next;
  std::optional<Supposed> supposed;

  // When `thermal_h`, which is still to come, will be reached if the step is due at `step_thermal_h`.
  double hour_of(double thermal_h, double step_thermal_h) const;
};

}  // namespace gyle
