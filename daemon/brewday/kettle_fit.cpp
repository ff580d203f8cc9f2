#include "brewday/kettle_fit.h"

#include <fmt/format.h>

#include <algorithm>

namespace gyle {
namespace {

double fullest(const WaterPlan& plan) { return std::max(plan.mash_volume_l, plan.pre_boil_hot_l); }

WaterNeeds scaled(WaterNeeds needs, double factor) {
  needs.batch_l *= factor;
  needs.grain_kg *= factor;
  needs.sugar_kg *= factor;
  needs.sparge_l *= factor;
  return needs;
}

}  // namespace

Result<KettleFit> fit_kettle(const WaterNeeds& needs, double kettle_l, double head_space_l) {
  if (!(kettle_l > 0 && kettle_l <= 100000)) {
    return fail(Errc::out_of_range,
                fmt::format("a kettle of {:.6g} L cannot be; above 0 L is expected", kettle_l));
  }
  if (!(head_space_l >= 0 && head_space_l < kettle_l)) {
    return fail(Errc::out_of_range,
                fmt::format("a head-space of {:.6g} L leaves no room in a kettle of {:.6g} L", head_space_l,
                            kettle_l));
  }
  BOOST_OUTCOME_TRY(plan, plan_water(needs));
  const double room = kettle_l - head_space_l;
  KettleFit fit{};
  fit.needed_l = fullest(plan) + head_space_l;
  fit.spare_l = room - fullest(plan);
  // Both volumes grow with the batch along a straight line; the one that is fuller grows past the room first,
  // or the other does: the smaller factor counts.
  BOOST_OUTCOME_TRY(half, plan_water(scaled(needs, 0.5)));
  const auto factor = [room](double at_half, double at_whole) {
    const double slope = 2 * (at_whole - at_half);
    return (room - (at_whole - slope)) / slope;
  };
  const double largest = std::min(factor(half.mash_volume_l, plan.mash_volume_l),
                                  factor(half.pre_boil_hot_l, plan.pre_boil_hot_l));
  if (largest > 0) fit.largest_batch_l = largest * needs.batch_l;
  return fit;
}

}  // namespace gyle
