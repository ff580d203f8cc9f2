#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "series/polynomial_fit.h"
#include "units/gravity.h"

namespace gyle {

// How a float tilted, in degrees from vertical, in a liquid whose gravity is known.
struct CalibrationPoint {
  double inclination;
  SpecificGravity gravity;
};

// Gravity from inclination, and where that may be trusted.
struct CalibrationCurve {
  Polynomial polynomial;  // specific gravity over degrees
  double least_inclination;
  double most_inclination;

  // Nothing outside the range: what lies there nobody has measured.
  std::optional<SpecificGravity> gravity(double inclination) const;
};

struct InclinationFit {
  CalibrationCurve curve;
  std::vector<CalibrationPoint> points;  // by inclination

  // By how much the curve is above (or below) a point.
  GravityPoints off(const CalibrationPoint& point) const;
  // Standard deviation of the points from the curve; nothing when it goes through all of them, for then
  // nothing is left to tell.
  std::optional<GravityPoints> deviation() const;
};

// A monotone curve through few and noisy points. Polynomials, for a float's curve bends but does not wind,
// and a curve of few parameters averages what points are wrong by, which one through every point would
// repeat:
//   degree  1; 2 or 3 when that foretells points left out at least a fifth better, which takes points at one
//           inclination more than it has parameters, 1 degree apart. Three inclinations cannot tell: then 2
//           when a straight line misses one by more than a point (0.001 SG), which careful hands do not.
//   range   from the least to the most inclination, and a tenth of that, at most 3 degrees, beyond either
//   end, within
//           0 to 90 degrees. The curve is monotone there, or that degree is not taken.
//   refuses with a sentence that names the points
//     Errc::too_few       fewer than two inclinations 1 degree apart; gravities less than 10 points apart
//     Errc::out_of_range  an inclination outside 0 to 90 degrees
//     Errc::conflict      points that contradict each other: at one inclination (1 degree) 8 points of
//     gravity apart,
//                         or with the gravity 3 points the wrong way; a point 4 points off the curve
//   tests   unit/calibration/inclination_fit_test.cpp
Result<InclinationFit> fit_inclination(std::span<const CalibrationPoint> points);

// "25.1 = 1.000", "48.2 deg = 10 P": inclination in degrees, then gravity (units/quantity_text.h).
// Errc::malformed or out_of_range with what would be right.
Result<CalibrationPoint> parse_calibration_point(std::string_view text);

// One a line; empty lines are passed over.
Result<std::vector<CalibrationPoint>> parse_calibration_points(std::string_view text);

}  // namespace gyle
