#include "config/recipe_file.h"

#include <catch2/catch.hpp>
#include <regex>
#include <set>
#include <sstream>

#include "config/read_file.h"
#include "support/places.h"
#include "units/us_customary.h"

using namespace gyle;

namespace {

const char* const kWhole = R"(name = "Amber no. 12"
volume = "3.2 gal"
efficiency = 0.75
[kettle]
volume = "7 gal"
head_space = "1 L"
mass = "4 kg"
specific_heat = 0.9
temperature = "19 Cel"
heater = "3.5 kW"
[mash]
temperature = "149 F"
time = "80 min"
grain_temperature = "68 F"
water_temperature = "12 Cel"
moisture = 0.05
[boil]
time = "70 min"
evaporation = "1.2 gal/h"
chill = "20 min"
[losses]
trub = "0 L"
absorption = "0.09 gal/lb"
displacement = "0.7 L/kg"
[[grain]]
name = "pale malt"
mass = "6 lb"
extract = "80 % dry"
[[grain]]
name = "rye malt"
mass = "450 g"
extract = "70 %"
[[sugar]]
name = "cane sugar"
mass = "200 g"
extract = "100 %"
at = "5 min"
[[hops]]
name = "Alder hops"
mass = "1 oz"
at = "50 min"
[[hops]]
name = "Birch hops"
mass = "20 g"
at = "end"
[[finings]]
name = "moss"
amount = "1 tablet"
at = "15 min"
[yeast]
name = "own culture"
attenuation = [0.71, 0.78]
temperature = ["15 Cel", "21 Cel"]
pitch_temperature = "16 Cel"
pitch_rate = 1.0
viable_cells_per_gram = 8
[[plan]]
hold = "17 Cel"
until = { progress = 0.75 }
[[plan]]
hold = "20 Cel"
until = "final-gravity"
)";

// What bitterness, colour and a sparge need.
const char* const kEstimates = R"(
[sparge]
water = "4 L"
temperature = "75 C"
[[grain]]
name = "dark malt"
mass = "100 g"
extract = "65 %"
colour = "900 EBC"
[[sugar]]
name = "cane sugar"
mass = "100 g"
colour = "0 EBC"
[[hops]]
name = "Alder hops"
mass = "5 g"
alpha = "6.5 %"
at = "end"
)";

}  // namespace

TEST_CASE("a recipe is read whole") {
  const auto parsed = parse_recipe(kWhole, "RECIPE.toml");
  if (!parsed) FAIL(parsed.error().message);
  const Recipe& recipe = parsed.value();
  CHECK(recipe.name == "Amber no. 12");
  CHECK(recipe.batch_l == Approx(3.2 * kLitresPerUsGallon));
  CHECK(recipe.mash_efficiency == 0.75);
  CHECK(*recipe.kettle.volume_l == Approx(7 * kLitresPerUsGallon));
  CHECK(recipe.kettle.head_space_l == 1);
  CHECK(recipe.kettle.mass_kg == 4);
  CHECK(recipe.kettle.specific_heat == 0.9);
  CHECK(recipe.kettle.temperature->value == 19);
  CHECK(*recipe.kettle.heater_watts == 3500);
  CHECK(recipe.mash.temperature.value == Approx(65));
  CHECK(recipe.mash.time == minutes(80));
  CHECK(recipe.mash.grain.value == Approx(20));
  CHECK(recipe.mash.water.value == 12);
  CHECK(recipe.mash.moisture == 0.05);
  CHECK(recipe.boil.time == minutes(70));
  CHECK(recipe.evaporation_l_per_h == Approx(1.2 * kLitresPerUsGallon));
  CHECK(recipe.boil.chill == minutes(20));
  CHECK(recipe.trub_l == 0);
  CHECK(recipe.absorption_l_per_kg == Approx(0.09 * kLitresPerUsGallon / kKgPerPound));
  CHECK(recipe.displacement_l_per_kg == 0.7);
  REQUIRE(recipe.grain.size() == 2);
  CHECK(recipe.grain[0].mass_kg == Approx(6 * kKgPerPound));
  CHECK(recipe.grain[0].extract == Approx(0.80 * 0.95));
  CHECK(recipe.grain[1].extract == 0.70);
  REQUIRE(recipe.sugar.size() == 1);
  CHECK(recipe.sugar[0].sugar.extract == 1);
  CHECK(recipe.sugar[0].before_end == minutes(5));
  REQUIRE(recipe.hops.size() == 2);
  CHECK(*recipe.hops[0].mass_kg == Approx(kKgPerPound / 16));
  CHECK(recipe.hops[0].before_end == minutes(50));
  CHECK(recipe.hops[1].before_end == Duration(0));
  REQUIRE(recipe.finings.size() == 1);
  CHECK(recipe.finings[0].amount == "1 tablet");
  CHECK(recipe.yeast.name == "own culture");
  CHECK(recipe.yeast.attenuation_high == 0.78);
  CHECK(recipe.pitch_temperature->value == 16);
  CHECK(recipe.pitch_rate == 1.0);
  CHECK(recipe.viable_cells_per_gram == 8);
  REQUIRE(recipe.plan.size() == 2);
  CHECK(std::holds_alternative<UntilProgress>(recipe.plan[0].until));
  CHECK(std::holds_alternative<UntilFinalGravity>(recipe.plan[1].until));
}

TEST_CASE("what bitterness, colour and a sparge need may be given") {
  const auto parsed = [](const std::string& sparge, const std::string& colour, const std::string& alpha) {
    return parse_recipe("name = \"a\"\nvolume = \"12 L\"\n" + sparge +
                            "[[grain]]\nname = \"m\"\nmass = \"3 kg\"\nextract = \"80 %\"\n" + colour +
                            "[[hops]]\nname = \"h\"\nmass = \"15 g\"\nat = \"end\"\n" + alpha,
                        "R.toml");
  };
  const Recipe plain = parsed("", "", "").value();
  CHECK(plain.sparge.water_l == 0);
  CHECK_FALSE(plain.grain[0].colour_ebc);
  CHECK_FALSE(plain.hops[0].alpha);
  const Recipe full = parsed("[sparge]\nwater = \"4 L\"\ntemperature = \"75 C\"\n", "colour = \"6 EBC\"\n",
                             "alpha = \"6.5 %\"\n")
                          .value();
  CHECK(full.sparge.water_l == 4);
  CHECK(full.sparge.temperature.value == 75);
  CHECK(full.grain[0].colour_ebc == 6);
  CHECK(full.hops[0].alpha == Approx(0.065));
  CHECK_THAT(parsed("[sparge]\n", "", "").error().message, Catch::StartsWith("R.toml:3: sparge.water: "));
  CHECK_THAT(parsed("[sparge]\nwater = \"4 L\"\ntemperature = \"95 C\"\n", "", "").error().message,
             Catch::Contains("between 10 and 80"));
  CHECK_THAT(parsed("", "colour = 6\n", "").error().message,
             Catch::StartsWith("R.toml:7: grain[1].colour: "));
  for (const char* alpha : {"alpha = \"650 %\"\n", "alpha = \"6.5\"\n", "alpha = 0.065\n"}) {
    CHECK_THAT(parsed("", "", alpha).error().message, Catch::StartsWith("R.toml:11: hops[1].alpha: "));
  }
}

TEST_CASE("an error in a recipe is reported with file, line, key and what is expected") {
  struct Row {
    const char* from;
    const char* to;
    const char* where;
    const char* hint;
  };
  const auto row = GENERATE(values<Row>({
      {"name = \"Amber no. 12\"", "", "1: name: ", "missing"},
      {"\"Amber no. 12\"", "\"\"", "1: name: ", "1 to 100"},
      {"volume = \"3.2 gal\"", "", "1: volume: ", "\"20 L\""},
      {"\"3.2 gal\"", "\"-3 gal\"", "2: volume: ", "above 0"},
      {"\"3.2 gal\"", "20", "2: volume: ", "\"20 L\""},
      {"0.75", "75", "3: efficiency: ", "0.1 to 1"},
      {"\"7 gal\"", "\"0 gal\"", "5: kettle.volume: ", "above 0"},
      {"\"1 L\"", "\"50 L\"", "6: kettle.head_space: ", "less than"},
      {"\"4 kg\"", "4", "7: kettle.mass: ", "\"6 kg\""},
      {"\"19 Cel\"", "\"300 Cel\"", "9: kettle.temperature: ", "-50 to 150"},
      {"\"3.5 kW\"", "\"3.5 hp\"", "10: kettle.heater: ", "W or kW"},
      {"\"149 F\"", "\"300 F\"", "12: mash.temperature: ", "30 and 80"},
      {"\"80 min\"", "\"75\"", "13: mash.time: ", "min"},
      {"\"80 min\"", "\"1 min\"", "13: mash.time: ", "10 min"},
      {"0.05", "5", "16: mash.moisture: ", "0 to 0.08"},
      {"\"70 min\"", "\"9 h\"", "18: boil.time: ", "6 h"},
      {"evaporation", "evaporaton", "19: boil.evaporaton: ", "\"evaporation\""},
      {"\"1.2 gal/h\"", "\"1.2 gal\"", "19: boil.evaporation: ", "gal/h"},
      {"\"0 L\"", "\"-1 L\"", "22: losses.trub: ", "above 0"},
      {"\"0.09 gal/lb\"", "\"0.09\"", "23: losses.absorption: ", "L/kg"},
      {"name = \"pale malt\"\n", "", "25: grain[1].name: ", "missing"},
      {"\"6 lb\"", "\"6 stone\"", "27: grain[1].mass: ", "lb"},
      {"\"80 % dry\"", "\"80\"", "28: grain[1].extract: ", "\"37 ppg\""},
      {"\"80 % dry\"", "\"120 %\"", "28: grain[1].extract: ", "100 %"},
      {"extract = \"70 %\"\n", "", "29: grain[2].extract: ", "missing"},
      {"\"200 g\"", "\"0 g\"", "35: sugar[1].mass: ", "above 0"},
      {"\"50 min\"", "\"75 min\"", "41: hops[1].at: ", "70 min"},
      {"\"50 min\"", "\"first\"", "41: hops[1].at: ", "\"end\""},
      {"mass = \"20 g\"\n", "", "42: hops[2].mass: ", "missing"},
      {"\"1 tablet\"", "\"\"", "48: finings[1].amount: ", "1 to 40"},
      {"[0.71, 0.78]", "[71, 78]", "52: yeast.attenuation: ", "[0.73, 0.79]"},
      {"1.0\nv", "750\nv", "55: yeast.pitch_rate: ", "0.05 to 5"},
      {"hold = \"17 Cel\"", "hold = \"90 Cel\"", "58: plan[1].hold: ", "-5 and 50"},
      {"\"final-gravity\"", "\"done\"", "62: plan[2].until: ", "final-gravity"},
      {"[boil]", "[bowl]", "17: bowl: ", "\"boil\""},
  }));
  std::string text = kWhole;
  const std::size_t at = text.find(row.from);
  REQUIRE(at != std::string::npos);
  text.replace(at, std::string(row.from).size(), row.to);
  CAPTURE(row.from, row.to);
  const auto parsed = parse_recipe(text, "RECIPE.toml");
  REQUIRE_FALSE(parsed.has_value());
  CHECK_THAT(parsed.error().message, Catch::StartsWith(std::string("RECIPE.toml:") + row.where));
  CHECK_THAT(parsed.error().message, Catch::Contains(row.hint));
}

TEST_CASE("a recipe without grain is refused") {
  const auto parsed = parse_recipe("name = \"a\"\nvolume = \"12 L\"\n", "r");
  REQUIRE_FALSE(parsed.has_value());
  CHECK_THAT(parsed.error().message, Catch::Contains("[[grain]]"));
}

namespace {

std::string example() { return read_file(gyle::test::source_dir() + "/config/recipe.toml").value(); }

// The example with the commented keys switched on; prose begins with "# ".
std::string with_every_key() {
  std::istringstream lines(example());
  std::string text;
  for (std::string line; std::getline(lines, line);) {
    const bool key = line.size() > 1 && line[0] == '#' && line[1] != ' ';
    text += (key ? line.substr(1) : line) + "\n";
  }
  return text;
}

// "boil.evaporation" and the like, of every table and key in the text.
std::set<std::string> keys_of(const std::string& text) {
  std::set<std::string> keys;
  std::istringstream lines(text);
  std::string table;
  for (std::string line; std::getline(lines, line);) {
    std::smatch match;
    if (std::regex_search(line, match, std::regex(R"(^\[+([a-z]+)\]+)"))) table = match[1].str() + ".";
    if (std::regex_search(line, match, std::regex(R"(^([a-z_]+) =)"))) keys.insert(table + match[1].str());
  }
  return keys;
}

}  // namespace

TEST_CASE("the example is a recipe, and shows every key") {
  const auto plain = parse_recipe(example(), "recipe.toml");
  if (!plain) FAIL(plain.error().message);
  const auto all = parse_recipe(with_every_key(), "recipe.toml");
  if (!all) FAIL(all.error().message);
  CHECK(keys_of(with_every_key()) == keys_of(std::string(kWhole) + kEstimates));
}

TEST_CASE("keys commented out in the example have the defaults that it shows") {
  const Recipe left_out = parse_recipe(example(), "a").value();
  const Recipe shown = parse_recipe(with_every_key(), "b").value();
  CHECK(shown.mash_efficiency == left_out.mash_efficiency);
  CHECK(shown.kettle.head_space_l == left_out.kettle.head_space_l);
  CHECK(shown.kettle.specific_heat == left_out.kettle.specific_heat);
  CHECK(shown.mash.grain == left_out.mash.grain);
  CHECK(shown.mash.water == left_out.mash.water);
  CHECK(shown.evaporation_l_per_h == left_out.evaporation_l_per_h);
  CHECK(shown.boil.chill == left_out.boil.chill);
  CHECK(shown.absorption_l_per_kg == left_out.absorption_l_per_kg);
  CHECK(shown.displacement_l_per_kg == left_out.displacement_l_per_kg);
  CHECK(pitch_temperature(shown) == pitch_temperature(left_out));
}
