#pragma once

#include <optional>

#include "fermentation/sensor_noise.h"

namespace gyle {

// Whether gravity still moves, by the last hours: a robust line through the hourly means without their bias
// with temperature, its error widened for the memory of the noise.
struct StillWindow {
  double from_h;
  double to_h;
  double fall;  // points over the window, positive when falling
  double fall_se;
  double steady_fall;  // the same by the median of all slopes
  double degrees_freedom;
  double level;  // mean level, points at the reference temperature
  int hours;
  double recent;  // how far the last hours lie below the line, points
  double recent_se;
};

// Absent when the window is not covered: fewer than 6 good hours (4 where readings are rare), more than a
// tenth missing at its start, or nothing in its last sixth; where readings are rare, about an interval more
// at either end.
std::optional<StillWindow> still_window(const GravityHistory& history, const SensorNoise& noise, double now_h,
                                        double length_h, double warmth_slope, double warmth_slope_sd);

}  // namespace gyle
