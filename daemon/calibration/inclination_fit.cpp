#include "calibration/inclination_fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

#include "units/quantity_text.h"

namespace gyle {
namespace {

constexpr double kApart = 1;            // degrees: closer inclinations count as one
constexpr double kMinSpan = 10;         // points of gravity
constexpr double kMaxSpread = 8;        // points between two at one inclination
constexpr double kMaxReversal = 3;      // points against the trend
constexpr double kMaxResidual = 4;      // points
constexpr double kCarefulError = 1;     // points: error of a careful measurement
constexpr double kRequiredRatio = 0.8;  // of the leave-one-out error of a simpler curve
constexpr double kExtension = 0.1;      // of the span, at either end
constexpr double kMaxExtension = 3;     // degrees
constexpr double kHorizontal = 90;      // degrees

std::string shown(const CalibrationPoint& point) {
  return fmt::format("{:g}° = {:.4f}", point.inclination, point.gravity.value());
}

std::size_t different_inclinations(std::span<const CalibrationPoint> by_inclination) {
  std::size_t count = 0;
  double last = -kHorizontal;
  for (const CalibrationPoint& point : by_inclination) {
    if (point.inclination - last < kApart) continue;
    last = point.inclination;
    ++count;
  }
  return count;
}

Status check_each(std::span<const CalibrationPoint> points) {
  for (const CalibrationPoint& point : points) {
    if (point.inclination >= 0 && point.inclination <= kHorizontal) continue;
    return fail(Errc::out_of_range,
                fmt::format("the point {}: an inclination is between 0 (upright) and 90 degrees (horizontal)",
                            shown(point)));
  }
  return success();
}

Status check_together(std::span<const CalibrationPoint> by_inclination) {
  if (different_inclinations(by_inclination) < 2) {
    return fail(Errc::too_few,
                "a calibration needs two points or more, with inclinations at least 1 degree apart, for "
                "example water and a sugar solution");
  }
  const auto [least, most] =
      std::minmax_element(by_inclination.begin(), by_inclination.end(),
                          [](const auto& a, const auto& b) { return a.gravity < b.gravity; });
  if ((most->gravity - least->gravity).value < kMinSpan) {
    return fail(
        Errc::too_few,
        fmt::format("the gravities are too close, {} to {}; they must be at least 0.010 apart, better "
                    "0.050",
                    shown(*least), shown(*most)));
  }
  const double trend = most->inclination >= least->inclination ? 1 : -1;
  for (std::size_t i = 0; i < by_inclination.size(); ++i) {
    for (std::size_t k = i + 1; k < by_inclination.size(); ++k) {
      const double rise = (by_inclination[k].gravity - by_inclination[i].gravity).value;
      const bool together = by_inclination[k].inclination - by_inclination[i].inclination < kApart;
      if (together ? std::abs(rise) <= kMaxSpread : trend * rise >= -kMaxReversal) continue;
      return fail(
          Errc::conflict,
          fmt::format("the points {} and {} contradict each other{}; measure them again, or remove one",
                      shown(by_inclination[i]), shown(by_inclination[k]),
                      together ? ""
                               : fmt::format(": otherwise the gravity {} with the inclination",
                                             trend > 0 ? "rises" : "falls")));
    }
  }
  return success();
}

double root_mean_square_left_out(const PolynomialFit& fit) {
  double sum = 0;
  for (std::size_t i = 0; i < fit.residuals.size(); ++i) sum += fit.left_out(i) * fit.left_out(i);
  return std::sqrt(sum / static_cast<double>(fit.residuals.size()));
}

double largest_residual(const PolynomialFit& fit) {
  double most = 0;
  for (const double residual : fit.residuals) most = std::fmax(most, 1000 * std::abs(residual));
  return most;
}

// The point whose removal lowers the sum of squares most.
std::size_t suspect(const PolynomialFit& fit) {
  const auto share = [&fit](std::size_t i) {
    const double left_out = fit.left_out(i);
    return std::isfinite(left_out) ? left_out * fit.residuals[i] : 0;
  };
  std::size_t found = 0;
  for (std::size_t i = 1; i < fit.residuals.size(); ++i) {
    if (share(i) > share(found)) found = i;
  }
  return found;
}

}  // namespace

std::optional<SpecificGravity> CalibrationCurve::gravity(double inclination) const {
  if (!(inclination >= least_inclination && inclination <= most_inclination)) return std::nullopt;
  const auto gravity = SpecificGravity::from(polynomial.at(inclination));
  return gravity ? std::optional(gravity.value()) : std::nullopt;
}

GravityPoints InclinationFit::off(const CalibrationPoint& point) const {
  return SpecificGravity::unchecked(curve.polynomial.at(point.inclination)) - point.gravity;
}

std::optional<GravityPoints> InclinationFit::deviation() const {
  const auto& c = curve.polynomial.coefficients;
  std::size_t parameters = c.size();
  while (parameters > 2 && c[parameters - 1] == 0) --parameters;
  if (points.size() <= parameters) return std::nullopt;
  double sum = 0;
  for (const CalibrationPoint& point : points) sum += off(point).value * off(point).value;
  return GravityPoints{std::sqrt(sum / static_cast<double>(points.size() - parameters))};
}

Result<InclinationFit> fit_inclination(std::span<const CalibrationPoint> points) {
  BOOST_OUTCOME_TRYV(check_each(points));
  InclinationFit result{{{}, 0, 0}, {points.begin(), points.end()}};
  std::sort(result.points.begin(), result.points.end(), [](const auto& a, const auto& b) {
    return a.inclination != b.inclination ? a.inclination < b.inclination : a.gravity < b.gravity;
  });
  BOOST_OUTCOME_TRYV(check_together(result.points));

  std::vector<double> x, y;
  for (const CalibrationPoint& point : result.points) {
    x.push_back(point.inclination);
    y.push_back(point.gravity.value());
  }
  const double beyond = std::fmin(kExtension * (x.back() - x.front()), kMaxExtension);
  result.curve.least_inclination = std::fmax(x.front() - beyond, 0);
  result.curve.most_inclination = std::fmin(x.back() + beyond, kHorizontal);

  const std::size_t inclinations = different_inclinations(result.points);
  std::optional<PolynomialFit> best;
  for (std::size_t degree = 1; degree <= kHighestDegree && degree < inclinations; ++degree) {
    const auto fit = fit_polynomial(x, y, degree);
    if (!fit || !fit->curve.monotone(result.curve.least_inclination, result.curve.most_inclination)) continue;
    const bool better =
        !best || (inclinations > degree + 1
                      ? root_mean_square_left_out(*fit) < kRequiredRatio * root_mean_square_left_out(*best)
                      : inclinations == 3 && largest_residual(*best) > kCarefulError);
    if (better) best = fit;
  }
  if (!best) return fail(Errc::conflict, "no curve through these points rises or falls over its whole range");
  if (largest_residual(*best) > kMaxResidual) {
    const std::size_t i = suspect(*best);
    return fail(
        Errc::conflict,
        fmt::format("the point {} does not fit the others, which give {:.4f} there; measure it again, or "
                    "remove it",
                    shown(result.points[i]), y[i] - best->left_out(i)));
  }
  result.curve.polynomial = best->curve;
  return result;
}

Result<CalibrationPoint> parse_calibration_point(std::string_view text) {
  const auto wrong = [text] {
    return fail(
        Errc::malformed,
        fmt::format(
            "'{}' is not a point; write the inclination in degrees, = and the gravity: \"21.4 = 1.000\" or "
            "\"57.3 = 10 P\"",
            text.substr(0, 60)));
  };
  const std::size_t equals = text.find('=');
  if (equals == std::string_view::npos) return wrong();
  std::string_view left = text.substr(0, equals);
  left.remove_prefix(std::min(left.find_first_not_of(" \t"), left.size()));
  double inclination = 0;
  const auto [stop, error] = std::from_chars(left.data(), left.data() + left.size(), inclination);
  if (error != std::errc{} || !std::isfinite(inclination)) return wrong();
  std::string_view unit = left.substr(static_cast<std::size_t>(stop - left.data()));
  unit.remove_prefix(std::min(unit.find_first_not_of(" \t"), unit.size()));
  unit = unit.substr(0, unit.find_last_not_of(" \t") + 1);
  if (!unit.empty() && unit != "deg" && unit != "°") return wrong();
  const auto gravity = parse_gravity(text.substr(equals + 1));
  if (!gravity) {
    return fail(gravity.error().code,
                fmt::format("the point '{}': {}", text.substr(0, 60), gravity.error().message));
  }
  const CalibrationPoint point{inclination, gravity.value()};
  BOOST_OUTCOME_TRYV(check_each(std::span(&point, 1)));
  return point;
}

Result<std::vector<CalibrationPoint>> parse_calibration_points(std::string_view text) {
  std::vector<CalibrationPoint> points;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
    if (line.find_first_not_of(" \t") == std::string_view::npos) continue;
    BOOST_OUTCOME_TRY(point, parse_calibration_point(line));
    points.push_back(point);
  }
  return points;
}

}  // namespace gyle
