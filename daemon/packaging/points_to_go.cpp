#include "packaging/points_to_go.h"

#include <algorithm>

namespace gyle {
namespace {
// Apparent attenuation when nothing is left to ferment: 1/0.82, by Balling's relation of real and apparent
// extract.
constexpr double kAll = 1.22;
}  // namespace

std::optional<PointsToGo> points_to_go(const BatchSpec& spec, const BatchView& view,
                                       SpecificGravity present) {
  const auto to_go = [&](double likely, double lowest) {
    const GravityPoints points{std::max(0.0, 1000 * (present.value() - likely))};
    return PointsToGo{points, std::max(points, GravityPoints{1000 * (present.value() - lowest)})};
  };
  if (const auto& end = view.forecast.final_gravity) return to_go(end->value, end->low);
  if (!view.original_gravity) return std::nullopt;
  const double original = *view.original_gravity;
  const Yeast yeast = described_at(spec, view.time).yeast;
  const auto at_attenuation = [&](double fraction) { return original - fraction * (original - 1); };
  return to_go(at_attenuation(yeast.expected_attenuation()),
               at_attenuation(view.forecast.end_unknown ? kAll : yeast.attenuation_high));
}

}  // namespace gyle
