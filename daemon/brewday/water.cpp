#include "brewday/water.h"

#include <fmt/format.h>

#include <algorithm>

#include "brewday/wort.h"
#include "units/density.h"

namespace gyle {
namespace {

Status check(const char* what, double value, double most, const char* unit) {
  if (value >= 0 && value <= most) return success();
  return fail(Errc::out_of_range, fmt::format("{} of {:.6g} {} cannot be; 0 to {} {} is expected", what,
                                              value, unit, most, unit));
}

}  // namespace

double cooling_shrinkage(Celsius from) { return water_density(from) / water_density(Celsius{20}); }

Result<WaterPlan> plan_water(const WaterNeeds& needs) {
  if (!(needs.batch_l > 0 && needs.batch_l <= 10000)) {
    return fail(Errc::out_of_range,
                fmt::format("a batch of {:.6g} L cannot be brewed; above 0 and up to 10000 L is expected",
                            needs.batch_l));
  }
  BOOST_OUTCOME_TRYV(check("trub", needs.trub_l, 1000, "L"));
  BOOST_OUTCOME_TRYV(check("a boil", in_hours(needs.boil), 6, "h"));
  BOOST_OUTCOME_TRYV(check("evaporation", needs.evaporation_l_per_h, 1000, "L/h"));
  BOOST_OUTCOME_TRYV(check("grain", needs.grain_kg, 10000, "kg"));
  BOOST_OUTCOME_TRYV(check("absorption", needs.absorption_l_per_kg, 10, "L/kg"));
  BOOST_OUTCOME_TRYV(check("displacement", needs.displacement_l_per_kg, 10, "L/kg"));
  BOOST_OUTCOME_TRYV(check("sugar", needs.sugar_kg, 10000, "kg"));
  BOOST_OUTCOME_TRYV(check("a mash", needs.mash.value, 100, "°C"));
  const double shrink = cooling_shrinkage();
  WaterPlan plan{};
  plan.post_boil_hot_l = (needs.batch_l + needs.trub_l) / shrink;
  plan.pre_boil_hot_l = plan.post_boil_hot_l + needs.evaporation_l_per_h * in_hours(needs.boil) -
                        needs.sugar_kg * kLitresPerKgSugar / shrink;
  if (!(plan.pre_boil_hot_l > 0)) {
    return fail(Errc::out_of_range, fmt::format("{:.2f} kg of sugar alone would fill a batch of {:.1f} L",
                                                needs.sugar_kg, needs.batch_l));
  }
  plan.total_cold_l = (plan.pre_boil_hot_l + needs.grain_kg * needs.absorption_l_per_kg) * shrink;
  plan.mash_cold_l = plan.total_cold_l - needs.sparge_l;
  const double least_l = kThickestMash_l_per_kg * needs.grain_kg;
  if (!(needs.sparge_l >= 0) || (needs.sparge_l > 0 && plan.mash_cold_l < least_l)) {
    return fail(
        Errc::out_of_range,
        fmt::format("a sparge of {:.6g} L cannot be; 0 to {:.1f} L is expected, so that the mash keeps "
                    "{:.1f} L per kg of grain",
                    needs.sparge_l, std::max(0.0, plan.total_cold_l - least_l), kThickestMash_l_per_kg));
  }
  plan.mash_volume_l =
      plan.mash_cold_l / cooling_shrinkage(needs.mash) + needs.grain_kg * needs.displacement_l_per_kg;
  return plan;
}

}  // namespace gyle
