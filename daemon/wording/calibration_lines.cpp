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

const char* shape(const InclinationFit& fit) {
  const auto& c = fit.curve.polynomial.coefficients;
  return c[3] != 0 ? "A cubic" : c[2] != 0 ? "A parabola" : "A straight line";
}

}  // namespace

std::string show_inclination(double degrees) { return fmt::format("{:.1f}°", degrees); }

std::vector<std::string> calibration_lines(const InclinationFit& fit, const DisplaySettings& display) {
  const CalibrationCurve& curve = fit.curve;
  const auto gravity = [&](double inclination) {
    return show_gravity(curve.polynomial.at(inclination), display, 4);
  };
  std::vector<std::string> lines{fmt::format("{} through {} points:", shape(fit), fit.points.size())};
  for (const CalibrationPoint& point : fit.points) {
    lines.push_back(fmt::format("  {} = {}: {}", show_inclination(point.inclination),
                                show_gravity(point.gravity.value(), display, 4),
                                off(fit.off(point), display)));
  }
  if (const auto deviation = fit.deviation()) {
    lines.push_back(fmt::format("On the whole the points are {} off it (standard deviation).",
                                show_gravity_change(deviation->value, display)));
  } else {
    lines.emplace_back(
        "It goes through every point, so its error between them is unknown; a further point "
        "would show it.");
  }
  lines.push_back(
      fmt::format("Trusted from {} to {}, gravities {} to {}: as far as the points go and a tenth of that "
                  "beyond, at most "
                  "3°. An inclination outside means no gravity.",
                  show_inclination(curve.least_inclination), show_inclination(curve.most_inclination),
                  gravity(curve.least_inclination), gravity(curve.most_inclination)));
  return lines;
}

}  // namespace gyle
