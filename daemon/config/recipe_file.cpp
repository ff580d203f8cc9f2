#include "config/recipe_file.h"

#include <fmt/format.h>

#include <charconv>

#include "base/text.h"
#include "brewday/beer_colour.h"
#include "config/batch_blocks.h"
#include "config/read_file.h"
#include "config/toml_reader.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

// A volume that may be zero: "0 L".
Result<double> parse_some_litres(std::string_view text) {
  if (text == "0 L" || text == "0 gal") return 0.0;
  return parse_volume_litres(text);
}

// When something goes into the boil: "60 min" before the heat goes off, or "end".
Result<Duration> parse_before_end(std::string_view text) {
  if (text == "end" || text == "0 min") return Duration(0);
  const auto before = parse_duration(text);
  if (before) return before;
  return fail(before.error().code,
              before.error().message + "; write how long before the end of the boil it goes in, or \"end\"");
}

// A temperature between these two.
auto temperature_within(double low, double high) {
  return [low, high](std::string_view text) -> Result<Celsius> {
    BOOST_OUTCOME_TRY(t, parse_temperature(text));
    if (t.value >= low && t.value <= high) return t;
    return fail(Errc::out_of_range, fmt::format("{:.1f} °C is not between {} and {} °C", t.value, low, high));
  };
}

auto length_within(Duration low, Duration high) {
  return [low, high](std::string_view text) -> Result<Duration> {
    BOOST_OUTCOME_TRY(length, parse_duration(text));
    if (length >= low && length <= high) return length;
    return fail(Errc::out_of_range, fmt::format("{} is not between {:.0f} min and {:.0f} h", text,
                                                in_hours(low) * 60, in_hours(high)));
  };
}

void read_kettle(const TomlValue& value, Recipe::Kettle& kettle, TomlProblems& problems) {
  TomlTable table(value, "kettle", problems);
  double number = 0;
  if (table.read_as("volume", number, parse_volume_litres, "\"38 L\"")) kettle.volume_l = number;
  if (table.read_as("head_space", kettle.head_space_l, parse_some_litres, "\"1 L\"") &&
      kettle.head_space_l >= kettle.volume_l.value_or(10001)) {
    table.problem("head_space", "less than the kettle's volume is expected");
  }
  table.read_as("mass", kettle.mass_kg, parse_mass_kg, "\"6 kg\"");
  table.read("specific_heat", kettle.specific_heat, 0.1, 2);
  Celsius temperature;
  if (table.read_as("temperature", temperature, temperature_within(-20, 60), "\"18 C\""))
    kettle.temperature = temperature;
  if (table.read_as("heater", number, parse_power_watts, "\"2.5 kW\"")) kettle.heater_watts = number;
  table.finish();
}

void read_mash(const TomlValue& value, Recipe::Mash& mash, TomlProblems& problems) {
  TomlTable table(value, "mash", problems);
  table.read_as("temperature", mash.temperature, temperature_within(30, 80), "\"67 C\"");
  table.read_as("time", mash.time, length_within(minutes(10), hours(24)), "\"60 min\"");
  table.read_as("grain_temperature", mash.grain, temperature_within(-20, 60), "\"20 C\"");
  table.read_as("water_temperature", mash.water, temperature_within(0, 90), "\"15 C\"");
  double moisture = 0;
  if (table.read("moisture", moisture, 0, 0.08)) mash.moisture = moisture;
  table.finish();
}

void read_sparge(const TomlValue& value, Recipe::Sparge& sparge, TomlProblems& problems) {
  TomlTable table(value, "sparge", problems);
  table.must_have("water", "\"4 L\"");
  table.read_as("water", sparge.water_l, parse_some_litres, "\"4 L\"");
  // Hotter water draws tannins from the husks: common practice, no source.
  table.read_as("temperature", sparge.temperature, temperature_within(10, 80), "\"76 C\"");
  table.finish();
}

// The alpha acids of hops: "5.5 %"; a fraction.
Result<double> parse_alpha(std::string_view text) {
  const std::string_view whole = trimmed(text);
  double percent = 0;
  const auto [end, error] = std::from_chars(whole.data(), whole.data() + whole.size(), percent);
  if (error != std::errc{} || trimmed(whole.substr(static_cast<std::size_t>(end - whole.data()))) != "%")
    return fail(Errc::malformed, fmt::format("'{}' is no share; write \"5.5 %\"", text.substr(0, 40)));
  if (percent >= 0 && percent <= 30) return percent / 100;
  return fail(Errc::out_of_range, fmt::format("{} is not between 0 and 30 %", text.substr(0, 40)));
}

void read_boil(const TomlValue& value, Recipe& recipe, TomlProblems& problems) {
  TomlTable table(value, "boil", problems);
  table.read_as("time", recipe.boil.time, length_within(minutes(1), hours(6)), "\"60 min\"");
  table.read_as("evaporation", recipe.evaporation_l_per_h, parse_litres_per_hour, "\"5.5 L/h\"");
  table.read_as("chill", recipe.boil.chill, length_within(minutes(1), hours(24)), "\"30 min\"");
  table.finish();
}

void read_losses(const TomlValue& value, Recipe& recipe, TomlProblems& problems) {
  TomlTable table(value, "losses", problems);
  table.read_as("trub", recipe.trub_l, parse_some_litres, "\"3 L\"");
  table.read_as("absorption", recipe.absorption_l_per_kg, parse_litres_per_kg, "\"0.8 L/kg\"");
  table.read_as("displacement", recipe.displacement_l_per_kg, parse_litres_per_kg, "\"0.67 L/kg\"");
  table.finish();
}

void read_name(TomlTable& table, std::string& name, std::string_view example) {
  constexpr std::size_t kLongest = 100;
  table.must_have("name", example);
  if (table.read("name", name) && !is_name(name, kLongest)) {
    table.problem("name", fmt::format("1 to {} characters on one line are expected", kLongest));
  }
}

void read_fermentable(TomlTable& table, Fermentable& one, double moisture) {
  read_name(table, one.name, "\"pale malt\"");
  table.must_have("mass", "\"4.5 kg\"");
  table.read_as("mass", one.mass_kg, parse_mass_kg, "\"4.5 kg\"");
  table.read_as(
      "extract", one.extract, [moisture](std::string_view text) { return parse_extract(text, moisture); },
      "\"80 %\"");
  double colour = 0;
  if (table.read_as("colour", colour, parse_malt_colour, "\"6 EBC\"")) one.colour_ebc = colour;
}

void read_before_end(TomlTable& table, Duration& before_end, Duration boil) {
  if (table.read_as("at", before_end, parse_before_end, "\"60 min\"") && before_end > boil) {
    table.problem("at", fmt::format("that is before the boil, which lasts {:.0f} min", in_hours(boil) * 60));
  }
}

// Elements of [[KEY]], each read by `read` from a table of its own.
template <class T, class Read>
void read_blocks(TomlTable& root, std::string_view key, std::vector<T>& into, TomlProblems& problems,
                 Read read) {
  constexpr std::size_t kMost = 100;
  std::size_t number = 0;
  for (const TomlValue* block : root.tables(key)) {
    TomlTable table(*block, fmt::format("{}[{}]", key, ++number), problems);
    read(table, into.emplace_back());
    table.finish();
  }
  if (number > kMost) root.problem(key, fmt::format("at most {} are expected", kMost));
}

// What goes in by mass, or ("1 tablet") in words.
Result<std::string> parse_amount(std::string_view text) {
  constexpr std::size_t kLongest = 40;
  if (is_name(text, kLongest)) return std::string(text);
  return fail(Errc::malformed, fmt::format("1 to {} characters on one line are expected", kLongest));
}

void read_yeast_of(const TomlValue& value, Recipe& recipe, TomlProblems& problems) {
  TomlTable table(value, "yeast", problems);
  read_yeast(table, recipe.yeast);
  Celsius temperature;
  if (table.read_as("pitch_temperature", temperature, temperature_within(-5, 50), "\"19 C\""))
    recipe.pitch_temperature = temperature;
  double number = 0;
  if (table.read("pitch_rate", number, 0.05, 5)) recipe.pitch_rate = number;
  table.read("viable_cells_per_gram", recipe.viable_cells_per_gram, 0.1, 100);
  table.finish();
}

}  // namespace

Result<Recipe> parse_recipe(std::string_view text, std::string_view file_name) {
  BOOST_OUTCOME_TRY(document, parse_toml(text, file_name));
  TomlProblems problems{std::string(file_name)};
  TomlTable root(document, "", problems);
  Recipe recipe;
  read_name(root, recipe.name, "\"Amber no. 12\"");
  root.must_have("volume", "\"20 L\"");
  root.read_as("volume", recipe.batch_l, parse_volume_litres, "\"20 L\"");
  root.read("efficiency", recipe.mash_efficiency, 0.1, 1);
  if (const TomlValue* kettle = root.find("kettle")) read_kettle(*kettle, recipe.kettle, problems);
  if (const TomlValue* mash = root.find("mash")) read_mash(*mash, recipe.mash, problems);
  if (const TomlValue* sparge = root.find("sparge")) read_sparge(*sparge, recipe.sparge, problems);
  if (const TomlValue* boil = root.find("boil")) read_boil(*boil, recipe, problems);
  if (const TomlValue* losses = root.find("losses")) read_losses(*losses, recipe, problems);
  const double moisture = recipe.mash.moisture.value_or(kUsualMoisture);
  if (!root.has("grain"))
    root.absence("no grain; write a [[grain]] block for each, with name, mass and extract");
  read_blocks(root, "grain", recipe.grain, problems, [&](TomlTable& table, Fermentable& one) {
    read_fermentable(table, one, moisture);
    table.must_have("extract", "\"80 %\"");
  });
  read_blocks(root, "sugar", recipe.sugar, problems, [&](TomlTable& table, BoilSugar& one) {
    one.sugar.extract = 1;
    one.sugar.colour_ebc = 0;
    read_fermentable(table, one.sugar, moisture);
    one.before_end = std::min(one.before_end, recipe.boil.time);
    read_before_end(table, one.before_end, recipe.boil.time);
  });
  read_blocks(root, "hops", recipe.hops, problems, [&](TomlTable& table, BoilAddition& one) {
    read_name(table, one.name, "\"Alder hops\"");
    table.must_have("mass", "\"28 g\"");
    double mass = 0;
    if (table.read_as("mass", mass, parse_mass_kg, "\"28 g\"")) one.mass_kg = mass;
    double alpha = 0;
    if (table.read_as("alpha", alpha, parse_alpha, "\"5.5 %\"")) one.alpha = alpha;
    table.must_have("at", "\"60 min\"");
    read_before_end(table, one.before_end, recipe.boil.time);
  });
  read_blocks(root, "finings", recipe.finings, problems, [&](TomlTable& table, BoilAddition& one) {
    read_name(table, one.name, "\"moss\"");
    if (table.read_as("amount", one.amount, parse_amount, "\"1 tablet\"")) {
      if (const auto mass = parse_mass_kg(one.amount)) one.mass_kg = mass.value();
    }
    table.must_have("at", "\"15 min\"");
    read_before_end(table, one.before_end, recipe.boil.time);
  });
  if (const TomlValue* yeast = root.find("yeast")) read_yeast_of(*yeast, recipe, problems);
  read_plan(root, recipe.plan, problems);
  root.finish();
  BOOST_OUTCOME_TRYV(problems.status());

  // The parts that a batch takes over must be valid for a batch.
  BatchSpec batch;
  batch.name = recipe.name;
  batch.pitched = Time(days(20000));
  batch.volume_l = recipe.batch_l;
  batch.yeast = recipe.yeast;
  batch.plan = recipe.plan;
  BOOST_OUTCOME_TRYV(validate_in_file(batch, document, file_name));
  return recipe;
}

Result<Recipe> load_recipe(const std::filesystem::path& path) {
  BOOST_OUTCOME_TRY(text, read_file(path));
  return parse_recipe(text, path.string());
}

}  // namespace gyle
