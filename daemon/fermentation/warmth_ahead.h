#pragma once

#include <optional>

namespace gyle {

// How warm the beer is taken to be from now on: as now until the step is due and has been carried out, then
// as the plan wants, and from the begin of a supposed hold on as that wants.
//   units  hours since the pitch; thermal hours; speeds in thermal hours per hour
//   tests  unit/fermentation/warmth_ahead_test.cpp
struct WarmthAhead {
  struct Change {
    double from_h;  // not before now
    double speed;
  };
  double now_h;
  double now_thermal_h;
  double speed_now;
  double speed_next;
  double step_delay_h = 0;          // from the step being due to a beer that is as warm as it wants
  std::optional<Change> under_way;  // a step that is due already
  std::optional<Change> supposed;

  // When `thermal_h`, which is still to come, will be reached if the step is due at `step_thermal_h`.
  double hour_of(double thermal_h, double step_thermal_h) const;
};

}  // namespace gyle
