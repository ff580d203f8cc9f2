#pragma once

#include <optional>

#include "fermentation/float_noise.h"

namespace gyle {

// What the last hours say about whether gravity still moves: a robust line through the hourly means, freed of
// the bias with temperature, its error widened for the noise's memory.
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
// tenth of it and a reading missing at its start, or nothing in its last sixth and no longer than a reading
// takes.
std::optional<StillWindow> still_window(const GravityHistory& history, const FloatNoise& noise, double now_h,
                                        double length_h, double warmth_slope, double warmth_slope_sd);

}  // namespace gyle
