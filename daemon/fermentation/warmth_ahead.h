#pragma once

#include <optional>

namespace gyle {

// The temperature that is assumed from now on: the present one until the step is due and has been carried
// out, then that of the plan, and from the start of a supposed hold on that of the hold.
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
  double step_delay_h = 0;          // from the step being due to a beer at its temperature
  std::optional<Change> under_way;  // a step that is due already
  std::optional<Change> supposed;

  // When `thermal_h`, in the future, will be reached if the step is due at `step_thermal_h`.
  double hour_of(double thermal_h, double step_thermal_h) const;
};

}  // namespace gyle
