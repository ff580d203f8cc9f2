#include "packaging/points_to_go.h"

#include <algorithm>

namespace gyle {

std::optional<PointsToGo> points_to_go(const BatchSpec& spec, const BatchView& view,
                                       SpecificGravity present) {
  const auto to_go = [&](double likely, double lowest) {
    const GravityPoints points{std::max(0.0, 1000 * (present.value() - likely))};
    return PointsToGo{points, std::max(points, GravityPoints{1000 * (present.value() - lowest)})};
  };
  if (const auto& end = view.forecast.final_gravity) return to_go(end->value, end->low);
  if (!view.original_gravity) return std::nullopt;
  const double original = *view.original_gravity;
  const auto at_attenuation = [&](double fraction) { return original - fraction * (original - 1); };
  return to_go(at_attenuation(spec.yeast.expected_attenuation()),
               at_attenuation(spec.yeast.attenuation_high));
}

}  // namespace gyle
