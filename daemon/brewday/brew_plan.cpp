#include "brewday/brew_plan.h"

#include "brewday/strike.h"
#include "units/density.h"

namespace gyle {

Result<BrewPlan> plan_brew(const Recipe& recipe) {
  BrewPlan plan{};
  const WaterNeeds needs = water_needs(recipe);
  BOOST_OUTCOME_TRY(water, plan_water(needs));
  plan.water = water;
  plan.grain_kg = needs.grain_kg;
  plan.strike_water_kg = water.mash_cold_l * water_density(Celsius{20}) / 1000;

  MashHeat heat;
  heat.water_kg = plan.strike_water_kg;
  heat.grain_kg = needs.grain_kg;
  heat.grain = recipe.mash.grain;
  if (recipe.mash.moisture) {
    BOOST_OUTCOME_TRY(malt, malt_heat(*recipe.mash.moisture));
    heat.malt = malt;
  }
  heat.kettle_kj_per_k = recipe.kettle.mass_kg * recipe.kettle.specific_heat;
  heat.kettle = recipe.kettle.temperature;
  BOOST_OUTCOME_TRY(strike, strike_temperature(heat, recipe.mash.temperature));
  plan.strike = strike;

  if (recipe.kettle.volume_l) {
    BOOST_OUTCOME_TRY(fit, fit_kettle(needs, *recipe.kettle.volume_l, recipe.kettle.head_space_l));
    plan.fit = fit;
  }
  BOOST_OUTCOME_TRY(wort, expect_wort(needs, potential_of(recipe), recipe.mash_efficiency));
  plan.wort = wort;

  plan.pitch = pitch_temperature(recipe);
  plan.pitch_rate = recipe.pitch_rate.value_or(plan.pitch < kCoolBelow ? kCoolRate : kAleRate);
  BOOST_OUTCOME_TRY(yeast, yeast_need(recipe.batch_l, wort.post_boil.gravity(), plan.pitch_rate,
                                      recipe.viable_cells_per_gram));
  plan.yeast = yeast;

  const double after_boil_l = recipe.batch_l + recipe.trub_l;
  if (const auto hops = hop_charges(recipe); !hops.empty()) {
    const double mean = (wort.pre_boil.gravity().value() + wort.post_boil.gravity().value()) / 2;
    BOOST_OUTCOME_TRY(bitterness, bitterness_of(hops, SpecificGravity::unchecked(mean), after_boil_l));
    plan.bitterness = bitterness;
  }
  plan.colour = beer_colour(fermentables_of(recipe), after_boil_l);
  return plan;
}

BatchSpec batch_of(const Recipe& recipe, const BrewPlan& plan) {
  BatchSpec batch;
  batch.name = recipe.name;
  batch.original_gravity = plan.wort.post_boil.gravity();
  batch.volume_l = recipe.batch_l;
  batch.yeast = recipe.yeast;
  batch.plan = recipe.plan;
  return batch;
}

}  // namespace gyle
