#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "series/polynomial_fit.h"
#include "units/gravity.h"

namespace gyle {

// Inclination of a hydrometer, in degrees from vertical, in a liquid of known gravity.
struct CalibrationPoint {
  double inclination;
  SpecificGravity gravity;
};

// Gravity from inclination, and the range in which it is valid.
struct CalibrationCurve {
  Polynomial polynomial;  // specific gravity over degrees
  double least_inclination;
  double most_inclination;

  // Nothing outside the range, where nobody has measured.
  std::optional<SpecificGravity> gravity(double inclination) const;
};

struct InclinationFit {
  CalibrationCurve curve;
  std::vector<CalibrationPoint> points;  // by inclination

  // Curve minus point.
  GravityPoints off(const CalibrationPoint& point) const;
  // Standard deviation of the points from the curve; nothing when there are no more points than parameters.
  std::optional<GravityPoints> deviation() const;
};

// Fits a monotone polynomial to few, noisy points. Few parameters average the errors of the points; a curve
// through every point would repeat them.
//   degree  1, or 2 or 3 where leave-one-out errors are at least a fifth smaller. That needs more different
//           inclinations (1 degree apart) than parameters. With three inclinations: 2 when a straight line
//           misses a point by more than 0.001 SG, more than a careful measurement does.
//   range   from the least to the largest inclination, extended at either end by a tenth of that, at most
//           3 degrees, and limited to 0 to 90 degrees. A degree that is not monotone there is not used.
//   errors  each names the points
//     Errc::too_few       fewer than two inclinations 1 degree apart; gravities less than 10 points apart
//     Errc::out_of_range  an inclination outside 0 to 90 degrees
//     Errc::conflict      points less than 1 degree and more than 8 points apart, or more than 3 points
//                         against the trend; a point more than 4 points off the curve
//   tests   unit/calibration/inclination_fit_test.cpp
Result<InclinationFit> fit_inclination(std::span<const CalibrationPoint> points);

// "21.4 = 1.000", "57.3 deg = 10 P": inclination in degrees, then gravity (units/quantity_text.h).
// Errc::malformed or out_of_range, with a valid example.
Result<CalibrationPoint> parse_calibration_point(std::string_view text);

// One point per line; empty lines are skipped.
Result<std::vector<CalibrationPoint>> parse_calibration_points(std::string_view text);

}  // namespace gyle
