#include "reports/day_sheet.h"

#include <catch2/catch.hpp>

#include "brewday/heating.h"

using namespace gyle;

namespace {

Recipe amber() {
  Recipe recipe;
  recipe.name = "Amber no. 12";
  recipe.batch_l = 12;
  recipe.mash.time = minutes(80);
  recipe.boil.time = minutes(50);
  recipe.grain = {{"pale malt", 2.4, 0.80}, {"rye malt", 0.6, 0.72}};
  recipe.sugar = {{{"sugar", 0.15, 1.0}, minutes(10)}};
  recipe.hops = {{"Alder hops", "", 0.015, minutes(50)},
                 {"Alder hops", "", 0.012, minutes(10)},
                 {"Birch hops", "", 0.018, Duration(0)}};
  recipe.finings = {{"moss", "half a tablet", std::nullopt, minutes(15)}};
  recipe.kettle.heater_watts = 3000;
  return recipe;
}

std::vector<DayStep> steps_of(const Recipe& recipe) {
  const auto plan = plan_brew(recipe);
  REQUIRE(plan.has_value());
  return day_sheet(recipe, plan.value(), {}).steps;
}

const DayStep& step(const std::vector<DayStep>& steps, const std::string& what) {
  for (const DayStep& one : steps) {
    if (one.what == what) return one;
  }
  FAIL("no step " << what);
  return steps.front();
}

}  // namespace

// tests/reference names the figure in no table; by hand: 20 kg of water by 50 K are 4.18 MJ, 1.16 kWh, in
// 1.16 / (2 x 0.85) = 0.683 h from 2 kW of which 85 % arrive.
TEST_CASE("heating takes as long as the heat balance says") {
  CHECK(in_hours(heating_time(20, 0, CelsiusDelta{50}, 2000)) == Approx(0.683).margin(0.001).epsilon(0));
  CHECK(heating_time(20, 0, CelsiusDelta{-5}, 2000) == Duration(0));
  CHECK(heating_time(20, 4, CelsiusDelta{50}, 2000) > heating_time(20, 0, CelsiusDelta{50}, 2000));
}

TEST_CASE("the day goes from water to yeast, each step when the one before is done") {
  const std::vector<DayStep> steps = steps_of(amber());
  std::vector<std::string> order;
  for (const DayStep& one : steps) order.push_back(one.what);
  CHECK(order == std::vector<std::string>{"Heat the water", "Dough in", "Mash begins", "Stir",
                                          "Stir, check the gravity", "Stir", "Bag out", "Heat to the boil",
                                          "Boil begins", "15 min to go", "10 min to go", "Heat off, chill",
                                          "Pitch"});
  for (std::size_t i = 1; i < steps.size(); ++i) CHECK(steps[i].at == steps[i - 1].at + steps[i - 1].lasts);
}

TEST_CASE("the mash lasts as long as it should from dough in, checked half way; so does the boil") {
  const std::vector<DayStep> steps = steps_of(amber());
  const Duration dough_in = step(steps, "Dough in").at;
  CHECK(step(steps, "Bag out").at - dough_in == minutes(80));
  CHECK(step(steps, "Stir, check the gravity").at - dough_in == minutes(40));
  const Duration end = step(steps, "Heat off, chill").at;
  CHECK(end - step(steps, "Boil begins").at == minutes(50));
  CHECK(end - step(steps, "15 min to go").at == minutes(15));
  CHECK(end - step(steps, "10 min to go").at == minutes(10));
  CHECK_THAT(step(steps, "Boil begins").how, Catch::Contains("15 g Alder hops"));
  CHECK_THAT(step(steps, "15 min to go").how, Catch::Contains("half a tablet moss"));
  CHECK_THAT(step(steps, "10 min to go").how, Catch::Contains("12 g Alder hops, 150 g sugar"));
  CHECK_THAT(step(steps, "Heat off, chill").how, Catch::Contains("18 g Birch hops"));
}

TEST_CASE("steps that can scald, foam over or strain the back have a caution") {
  const std::vector<DayStep> steps = steps_of(amber());
  CHECK_THAT(step(steps, "Heat the water").caution, Catch::Contains("Scalds"));
  for (const char* what : {"Heat to the boil", "Boil begins", "15 min to go", "10 min to go"}) {
    CAPTURE(what);
    CHECK_THAT(step(steps, what).caution, Catch::Contains("oam"));
  }
  // 3 kg of grain keep 0.8 L/kg, 2.4 kg of water.
  CHECK_THAT(step(steps, "Bag out").caution, Catch::Contains("5.40 kg"));
  CHECK_THAT(step(steps, "Heat off, chill").caution, Catch::Contains("Never lift"));
}

TEST_CASE("a day without hops, sugar, finings and heater has its steps all the same") {
  Recipe recipe;
  recipe.grain = {{"malt", 5, 0.8}};
  recipe.boil.time = minutes(30);
  const auto plan = plan_brew(recipe);
  const DaySheet sheet = day_sheet(recipe, plan.value(), {});
  CHECK(sheet.heater_assumed);
  CHECK(step(sheet.steps, "Heat off, chill").at - step(sheet.steps, "Boil begins").at == minutes(30));
  DisplaySettings american;
  american.temperature = DisplaySettings::Temperature::fahrenheit;
  american.volume = DisplaySettings::Volume::us_gallons;
  const DaySheet shown = day_sheet(recipe, plan.value(), american);
  CHECK_THAT(shown.steps.front().how, Catch::Contains("gal") && Catch::Contains("°F"));
  CHECK_THAT(step(shown.steps, "Dough in").how, Catch::Contains("11.02 lb"));
}
