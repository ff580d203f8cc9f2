// A plan that is carried out as planned measures as planned.

#include <catch2/catch.hpp>
#include <random>

#include "brewday/brew_plan.h"
#include "brewday/correction.h"
#include "brewday/efficiency.h"
#include "units/density.h"

using namespace gyle;

namespace {

Recipe any_recipe(std::mt19937& random) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  Recipe recipe;
  recipe.batch_l = between(5, 50);
  recipe.mash_efficiency = between(0.5, 0.95);
  recipe.trub_l = between(0, 4);
  recipe.evaporation_l_per_h = between(1, 7);
  recipe.boil.time = from_hours(between(0.5, 2));
  recipe.grain = {{"pale malt", recipe.batch_l * between(0.12, 0.25), 0.80},
                  {"dark malt", recipe.batch_l * between(0.001, 0.02), 0.70}};
  if (random() % 2 == 0) recipe.sugar = {{{"sugar", recipe.batch_l * 0.02, 1.0}}};
  return recipe;
}

}  // namespace

TEST_CASE("measured as planned, the efficiencies come back and nothing has to be corrected") {
  const auto seed = GENERATE(range(1u, 201u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const Recipe recipe = any_recipe(random);
  const auto plan = plan_brew(recipe);
  REQUIRE(plan.has_value());
  const Potential potential = potential_of(recipe);
  const SpecificGravity original = plan.value().wort.post_boil.gravity();

  // Before the boil, the volume read hot off the kettle.
  const double cold_l = volume_at_20(plan.value().water.pre_boil_hot_l, Celsius{100}).value();
  const Wort pre_boil = wort_of(cold_l, plan.value().wort.pre_boil.gravity()).value();
  CHECK(mash_efficiency(pre_boil, potential).value() ==
        Approx(recipe.mash_efficiency).epsilon(0.004));  // volumes of mixtures do not add up exactly
  BoilAhead ahead;
  ahead.wort = pre_boil;
  ahead.boil = recipe.boil.time;
  ahead.evaporation_kg_per_h = recipe.evaporation_l_per_h * water_density(Celsius{100}) / 1000;
  ahead.sugar_kg = sugar_mass_kg(recipe);
  ahead.sugar_extract_kg = potential.sugar_kg;
  const auto correction = correct_boil(ahead, original);
  REQUIRE(correction.has_value());
  CHECK(std::abs((correction.value().accepted.gravity() - original).value) < 0.3);
  CHECK(correction.value().accepted.volume_l() == Approx(recipe.batch_l + recipe.trub_l).epsilon(0.004));
  CHECK_FALSE(correction.value().longer.has_value());
  CHECK_FALSE(correction.value().dilution.has_value());

  // Afterwards, in the fermenter.
  const Wort beer = wort_of(recipe.batch_l, original).value();
  CHECK(mash_efficiency_from_fermenter(beer, recipe.trub_l, potential).value() ==
        Approx(recipe.mash_efficiency).epsilon(1e-6));
  const double all = potential.mash_kg + potential.sugar_kg;
  CHECK(brewhouse_efficiency(beer, potential).value() * all ==
        Approx(plan.value().wort.post_boil.extract_kg * recipe.batch_l / (recipe.batch_l + recipe.trub_l)));
}

TEST_CASE("more extract than the grain has is no efficiency") {
  const Wort wort = wort_of(20, SpecificGravity::unchecked(1.060)).value();
  const auto none = mash_efficiency(wort, {2.0, 0});
  REQUIRE_FALSE(none.has_value());
  CHECK_THAT(none.error().message, Catch::Contains("20 °C"));
  CHECK_FALSE(brewhouse_efficiency(wort, {2.0, 0.5}).has_value());
  CHECK_FALSE(mash_efficiency(wort, {0, 5}).has_value());
  CHECK_FALSE(mash_efficiency_from_fermenter(wort, -1, {5, 0}).has_value());
  CHECK_FALSE(mash_efficiency_from_fermenter(wort, 2, {5, 4}).has_value());  // less than the sugar alone
}

TEST_CASE("the batch takes over the values of the recipe") {
  std::mt19937 random(7);
  Recipe recipe = any_recipe(random);
  recipe.name = "Amber no. 12";
  recipe.yeast.name = "own culture";
  recipe.plan = {{Celsius{17}, UntilProgress{0.75}}, {Celsius{20}, UntilFinalGravity{}}};
  const auto plan = plan_brew(recipe);
  REQUIRE(plan.has_value());
  CHECK(plan.value().pitch.value == 17);
  const BatchSpec batch = batch_of(recipe, plan.value());
  CHECK(batch.name == "Amber no. 12");
  CHECK(batch.volume_l == recipe.batch_l);
  CHECK(batch.original_gravity == plan.value().wort.post_boil.gravity());
  CHECK(batch.yeast.name == "own culture");
  CHECK(batch.plan.size() == 2);
}

// Common practice, no source: twice as much yeast for what ferments cool.
TEST_CASE("a cool pitch takes twice the yeast") {
  std::mt19937 random(3);
  Recipe recipe = any_recipe(random);
  recipe.pitch_temperature = Celsius{19};
  const double warm = plan_brew(recipe).value().yeast.billion_cells;
  recipe.pitch_temperature = Celsius{10};
  CHECK(plan_brew(recipe).value().yeast.billion_cells == Approx(2 * warm));
  recipe.pitch_rate = 0.75;
  CHECK(plan_brew(recipe).value().yeast.billion_cells == Approx(warm));
}
