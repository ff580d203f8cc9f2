#include "units/alcohol.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "units/density.h"

namespace gyle {
namespace {

std::optional<double> by_uk_table(GravityPoints fallen) {
  struct Row {
    double up_to;  // points
    double factor;
  };
  constexpr Row kTable[] = {{6.9, .125},  {10.4, .126}, {17.2, .127}, {26.1, .128},
                            {36.0, .129}, {46.5, .130}, {57.1, .131}, {67.9, .132},
                            {78.8, .133}, {89.7, .134}, {100.7, .135}};
  const double points = std::round(fallen.value * 10) / 10;  // as the table is printed
  for (const Row& row : kTable) {
    if (points <= row.up_to) return points * row.factor / 100;
  }
  return std::nullopt;
}

}  // namespace

double AlcoholRoutes::least_volume() const {
  return std::min({volume_balling, volume_quotient, volume_rule, volume_uk_table.value_or(volume_rule)});
}
double AlcoholRoutes::most_volume() const {
  return std::max({volume_balling, volume_quotient, volume_rule, volume_uk_table.value_or(volume_rule)});
}

Result<AlcoholRoutes> alcohol_by_routes(SpecificGravity original, SpecificGravity present) {
  constexpr double kEthanol = 789.24;  // kg/m3 at 20 degC
  if (!(original.value() >= 1.010 && original.value() <= 1.130)) {
    return fail(
        Errc::out_of_range,
        fmt::format("an original gravity of {:.4f} is not between 1.010 and 1.130", original.value()));
  }
  if (!(present.value() >= 0.990 && present <= original)) {
    return fail(Errc::out_of_range,
                fmt::format("a gravity of {:.4f} is not between 0.990 and the original, {:.4f}",
                            present.value(), original.value()));
  }
  const double before = to_plato(original).value;
  const double after = to_plato(present).value;
  const double real = 0.1808 * before + 0.8192 * after;
  const double per_gram = 2.0665 - 0.010665 * before;  // g of extract for one of alcohol
  const double ethanol_sg = kEthanol / water_density(Celsius{20});
  const GravityPoints fallen = original - present;
  AlcoholRoutes routes{};
  routes.original_extract = Plato{before};
  routes.apparent_extract = Plato{after};
  routes.real_extract = Plato{real};
  routes.apparent_attenuation = fallen.value / (original - SpecificGravity::unchecked(1)).value;
  routes.apparent_extract_share = (before - after) / before;
  routes.real_attenuation = (before - real) / before;
  routes.weight_balling = (before - real) / per_gram / 100;
  routes.weight_quotient = (before - after) / per_gram / (1.22 + 0.001 * before) / 100;
  routes.volume_balling = routes.weight_balling * present.value() / ethanol_sg;
  routes.volume_quotient = routes.weight_quotient * present.value() / ethanol_sg;
  routes.volume_uk_table = by_uk_table(fallen);
  routes.volume_rule = 1.3125 * fallen.value / 1000;
  return routes;
}

}  // namespace gyle
