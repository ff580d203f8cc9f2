#include "wording/calibration_lines.h"

#include <fmt/format.h>

#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

constexpr double kNothing = 0.05;  // points: less is not shown

std::string off(GravityPoints points, const DisplaySettings& display) {
  if (std::abs(points.value) < kNothing) return "on the curve";
  return fmt::format("the curve is {} {}", show_gravity_change(std::abs(points.value), display),
                     points.value > 0 ? "higher" : "lower");
}

const char* shape(const TiltFit& fit) {
  const auto& c = fit.curve.polynomial.coefficients;
  return c[3] != 0 ? "A cubic" : c[2] != 0 ? "A parabola" : "A straight line";
}

}  // namespace

std::string show_tilt(double degrees) { return fmt::format("{:.1f}°", degrees); }

std::vector<std::string> calibration_lines(const TiltFit& fit, const DisplaySettings& display) {
  const TiltCurve& curve = fit.curve;
  const auto gravity = [&](double tilt) { return show_gravity(curve.polynomial.at(tilt), display, 4); };
  std::vector<std::string> lines{fmt::format("{} through {} points:", shape(fit), fit.points.size())};
  for (const CalibrationPoint& point : fit.points) {
    lines.push_back(fmt::format("  {} = {}: {}", show_tilt(point.tilt),
                                show_gravity(point.gravity.value(), display, 4),
                                off(fit.off(point), display)));
  }
  if (const auto deviation = fit.deviation()) {
    lines.push_back(fmt::format("On the whole the points are {} off it (standard deviation).",
                                show_gravity_change(deviation->value, display)));
  } else {
    lines.emplace_back(
        "It goes through every point, so that nothing tells how far off it is between them; a further point "
        "would.");
  }
  lines.push_back(
      fmt::format("Trusted from {} to {}, gravities {} to {}: as far as the points go and a tenth of that "
                  "beyond, at most "
                  "3°. A tilt outside means no gravity.",
                  show_tilt(curve.least_tilt), show_tilt(curve.most_tilt), gravity(curve.least_tilt),
                  gravity(curve.most_tilt)));
  return lines;
}

}  // namespace gyle
