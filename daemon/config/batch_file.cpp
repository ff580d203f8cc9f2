#include "config/batch_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/rfc3339.h"
#include "base/text.h"
#include "config/batch_blocks.h"
#include "config/read_file.h"
#include "config/toml_reader.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

void read_pitched(TomlTable& table, Time& pitched) {
  table.must_have("pitched", "2026-03-01T18:30:00Z");
  const TomlValue* value = table.find("pitched");
  if (!value) return;
  if (const auto* time = std::get_if<Time>(&value->is)) {
    pitched = *time;
  } else {
    table.problem("pitched",
                  "a date and time with its offset from UTC is expected, without quotation marks, such as "
                  "2026-03-01T18:30:00Z or 2026-03-01T19:30:00+01:00");
  }
}

void read_batch_yeast(const TomlValue& value, Yeast& yeast, TomlProblems& problems) {
  TomlTable table(value, "yeast", problems);
  read_yeast(table, yeast);
  if (table.read("attenuation_batches", yeast.attenuation_batches, 1, 1'000'000)) {
    if (!yeast.attenuation_given)
      table.problem("attenuation_batches", "it says how many batches 'attenuation' is from; write that too");
    yeast.attenuation_given = false;
  }
  table.read("half_fall_low_hours", yeast.half_low_h, 1, 2000);
  table.read("half_fall_high_hours", yeast.half_high_h, 1, 2000);
  if (!(yeast.half_low_h <= yeast.half_high_h) || (yeast.half_low_h > 0) != (yeast.half_high_h > 0))
    table.problem("half_fall_low_hours", "both hours are expected, low and high");
  table.finish();
}

void read_final_gravity(const TomlValue& value, FinalGravityRule& rule, TomlProblems& problems) {
  TomlTable table(value, "final_gravity", problems);
  table.read_as("window", rule.window, parse_duration, "\"48 h\"");
  double tolerance_sg = 0;
  if (table.read("tolerance", tolerance_sg, 0, 0.010)) {
    // To a billionth of a point: a file written by format_batch then reads back to the last bit.
    rule.tolerance = GravityPoints{std::round(tolerance_sg * 1e12) / 1e9};
  }
  table.finish();
}

// The valid ones only, in order of time.
void read_additions(TomlTable& root, std::vector<Addition>& additions, TomlProblems& problems) {
  std::size_t number = 0;
  for (const TomlValue* block : root.tables("addition")) {
    TomlTable table(*block, fmt::format("addition[{}]", ++number), problems);
    table.must_have("what", "\"sugar\"");
    table.must_have("at", "2026-03-04T18:30:00Z");
    table.must_have("amount", "\"250 g\"");
    Addition addition;
    std::string what;
    bool good = table.read("what", what);
    if (const auto kind = addition_kind_named(what)) {
      addition.kind = *kind;
    } else if (good) {
      table.problem("what", "write \"sugar\", \"fruit\", \"water\" or \"dry-hops\"");
      good = false;
    }
    const TomlValue* at = table.find("at");
    const auto* time = at ? std::get_if<Time>(&at->is) : nullptr;
    if (time) addition.time = *time;
    if (at && !time) {
      table.problem("at", "a date and time with its offset from UTC is expected, without quotation marks");
    }
    const bool read = addition.kind == AdditionKind::water
                          ? table.read_as("amount", addition.amount, parse_volume_litres, "\"2 L\"")
                          : table.read_as("amount", addition.amount, parse_mass_kg, "\"250 g\"");
    table.read("sugar", addition.sugar_share, 0, 1);
    if (good && time && read) additions.push_back(addition);
    table.finish();
  }
  std::stable_sort(additions.begin(), additions.end(),
                   [](const Addition& a, const Addition& b) { return a.time < b.time; });
}

struct UntilText {
  std::string operator()(const UntilProgress& end) const {
    return fmt::format("{{ progress = {} }}", end.fraction);
  }
  std::string operator()(const UntilAttenuation& end) const {
    return fmt::format("{{ attenuation = {} }}", end.apparent);
  }
  std::string operator()(const UntilDays& end) const { return fmt::format("{{ days = {} }}", end.days); }
  std::string operator()(const UntilGravity& end) const {
    return fmt::format("{{ gravity = {} }}", end.gravity.value());
  }
  std::string operator()(const UntilFinalGravity&) const { return "\"final-gravity\""; }
};

}  // namespace

Result<BatchSpec> parse_batch(std::string_view text, std::string_view file_name) {
  BOOST_OUTCOME_TRY(document, parse_toml(text, file_name));
  TomlProblems problems{std::string(file_name)};
  TomlTable root(document, "", problems);
  BatchSpec batch;
  root.must_have("name", "\"Amber no. 12\"");
  root.read("name", batch.name);
  read_pitched(root, batch.pitched);
  batch.original_gravity = read_gravity(root, "original_gravity");
  double volume_l = 0;
  if (root.read_as("volume", volume_l, parse_volume_litres, "\"20 L\"")) batch.volume_l = volume_l;
  if (const TomlValue* yeast = root.find("yeast")) read_batch_yeast(*yeast, batch.yeast, problems);
  if (const TomlValue* rule = root.find("final_gravity"))
    read_final_gravity(*rule, batch.final_gravity, problems);
  read_plan(root, batch.plan, problems);
  read_additions(root, batch.additions, problems);
  root.finish();
  BOOST_OUTCOME_TRYV(problems.status());
  BOOST_OUTCOME_TRYV(validate_in_file(batch, document, file_name));
  return batch;
}

Result<BatchSpec> load_batch(const std::filesystem::path& path) {
  BOOST_OUTCOME_TRY(text, read_file(path));
  return parse_batch(text, path.string());
}

std::string format_batch(const BatchSpec& batch) {
  std::string text =
      fmt::format("name = {}\npitched = {}\n", toml_quoted(batch.name), format_rfc3339(batch.pitched));
  if (batch.original_gravity) text += fmt::format("original_gravity = {}\n", batch.original_gravity->value());
  if (batch.volume_l) text += fmt::format("volume = \"{} L\"\n", *batch.volume_l);
  const Yeast& yeast = batch.yeast;
  text += fmt::format("[yeast]\nname = {}\ntemperature = [\"{} Cel\", \"{} Cel\"]\n", toml_quoted(yeast.name),
                      yeast.temperature_low.value, yeast.temperature_high.value);
  const Yeast usual;
  if (yeast.attenuation_given || yeast.attenuation_batches > 0 ||
      yeast.attenuation_low != usual.attenuation_low || yeast.attenuation_high != usual.attenuation_high) {
    text += fmt::format("attenuation = [{}, {}]\n", yeast.attenuation_low, yeast.attenuation_high);
  }
  if (yeast.attenuation_batches > 0)
    text += fmt::format("attenuation_batches = {}\n", yeast.attenuation_batches);
  if (yeast.half_low_h > 0) {
    text += fmt::format("half_fall_low_hours = {}\nhalf_fall_high_hours = {}\n", yeast.half_low_h,
                        yeast.half_high_h);
  }
  text += fmt::format("[final_gravity]\nwindow = \"{} s\"\ntolerance = {}\n",
                      in_seconds(batch.final_gravity.window), batch.final_gravity.tolerance.value / 1000);
  for (const Hold& hold : batch.plan) {
    text += fmt::format("[[plan]]\nhold = \"{} Cel\"\nuntil = {}\n", hold.temperature.value,
                        std::visit(UntilText{}, hold.until));
  }
  for (const Addition& addition : batch.additions) {
    text += fmt::format("[[addition]]\nwhat = \"{}\"\nat = {}\namount = \"{} {}\"\n", name(addition.kind),
                        format_rfc3339(addition.time), addition.amount,
                        addition.kind == AdditionKind::water ? "L" : "kg");
    if (addition.sugar_share > 0) text += fmt::format("sugar = {}\n", addition.sugar_share);
  }
  return text;
}

}  // namespace gyle
