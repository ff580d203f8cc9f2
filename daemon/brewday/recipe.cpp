#include "brewday/recipe.h"

namespace gyle {

std::vector<Fermentable> fermentables_of(const Recipe& recipe) {
  std::vector<Fermentable> all = recipe.grain;
  for (const BoilSugar& one : recipe.sugar) all.push_back(one.sugar);
  return all;
}

std::vector<HopCharge> hop_charges(const Recipe& recipe) {
  std::vector<HopCharge> all;
  for (const BoilAddition& one : recipe.hops) {
    if (!one.alpha || !one.mass_kg) return {};
    all.push_back({*one.mass_kg, *one.alpha, one.before_end});
  }
  return all;
}

double grain_mass_kg(const Recipe& recipe) {
  double sum = 0;
  for (const Fermentable& one : recipe.grain) sum += one.mass_kg;
  return sum;
}

double sugar_mass_kg(const Recipe& recipe) {
  double sum = 0;
  for (const BoilSugar& one : recipe.sugar) sum += one.sugar.mass_kg;
  return sum;
}

Potential potential_of(const Recipe& recipe) {
  Potential sum;
  for (const Fermentable& one : recipe.grain) sum.mash_kg += one.mass_kg * one.extract;
  for (const BoilSugar& one : recipe.sugar) sum.sugar_kg += one.sugar.mass_kg * one.sugar.extract;
  return sum;
}

WaterNeeds water_needs(const Recipe& recipe) {
  return {.batch_l = recipe.batch_l,
          .trub_l = recipe.trub_l,
          .boil = recipe.boil.time,
          .evaporation_l_per_h = recipe.evaporation_l_per_h,
          .grain_kg = grain_mass_kg(recipe),
          .absorption_l_per_kg = recipe.absorption_l_per_kg,
          .displacement_l_per_kg = recipe.displacement_l_per_kg,
          .sugar_kg = sugar_mass_kg(recipe),
          .mash = recipe.mash.temperature,
          .sparge_l = recipe.sparge.water_l};
}

Celsius pitch_temperature(const Recipe& recipe) {
  if (recipe.pitch_temperature) return *recipe.pitch_temperature;
  if (!recipe.plan.empty()) return recipe.plan.front().temperature;
  return Celsius{(recipe.yeast.temperature_low.value + recipe.yeast.temperature_high.value) / 2};
}

}  // namespace gyle
