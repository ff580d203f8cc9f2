#include "config/batch_file.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>

#include "base/rfc3339.h"
#include "base/text.h"
#include "config/batch_validation.h"
#include "config/read_file.h"
#include "config/toml_reader.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

// 1.048, "1.048" or "12 P".
std::optional<SpecificGravity> read_gravity(TomlTable& table, std::string_view key) {
  const TomlValue* value = table.find(key);
  if (!value) return std::nullopt;
  const auto number = number_in(*value);
  const auto* text = std::get_if<std::string>(&value->is);
  if (!number && !text) {
    table.problem(key, "a gravity is expected, such as 1.048 or \"12 P\"");
    return std::nullopt;
  }
  const auto gravity = number ? SpecificGravity::from(*number) : parse_gravity(*text);
  if (gravity) return gravity.value();
  table.problem(key, gravity.error().message);
  return std::nullopt;
}

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

void read_yeast(const TomlValue& value, Yeast& yeast, TomlProblems& problems) {
  TomlTable table(value, "yeast", problems);
  table.read("name", yeast.name);
  if (const TomlValue* band = table.find("attenuation")) {
    const auto* ends = std::get_if<TomlValue::Array>(&band->is);
    const auto low = ends && ends->size() == 2 ? number_in((*ends)[0]) : std::nullopt;
    const auto high = ends && ends->size() == 2 ? number_in((*ends)[1]) : std::nullopt;
    if (low && high) {
      yeast.attenuation_low = *low;
      yeast.attenuation_high = *high;
    } else {
      table.problem("attenuation", "two fractions, low and high, are expected, such as [0.73, 0.79]");
    }
  }
  std::vector<std::string> range;
  if (table.read("temperature", range)) {
    if (range.size() != 2) {
      table.problem("temperature", "low and high are expected, such as [\"16 Cel\", \"22 Cel\"]");
    } else {
      const auto low = parse_temperature(range[0]);
      const auto high = parse_temperature(range[1]);
      if (low && high) {
        yeast.temperature_low = low.value();
        yeast.temperature_high = high.value();
      } else {
        table.problem("temperature", low ? high.error().message : low.error().message);
      }
    }
  }
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

constexpr std::string_view kUntilChoices =
    "write { attenuated = 0.75 }, { days = 7 }, { gravity = 1.014 } or \"final-gravity\"";

std::optional<HoldEnd> read_until(const TomlValue& value, const std::string& path, TomlProblems& problems) {
  if (const auto* word = std::get_if<std::string>(&value.is)) {
    if (*word == "final-gravity") return UntilFinalGravity{};
    problems.add(value.line, path, kUntilChoices);
    return std::nullopt;
  }
  const auto* members = std::get_if<TomlValue::Table>(&value.is);
  if (!members || members->size() != 1) {
    problems.add(value.line, path, kUntilChoices);
    return std::nullopt;
  }
  TomlTable table(value, path, problems);
  std::optional<HoldEnd> until;
  double number = 0;
  if (table.read("attenuated", number, 0, 1.5)) until = UntilAttenuated{number};
  if (table.read("days", number, 0, 366)) until = UntilDays{number};
  if (const auto gravity = read_gravity(table, "gravity")) until = UntilGravity{*gravity};
  table.finish();
  return until;
}

void read_plan(TomlTable& root, std::vector<Hold>& plan, TomlProblems& problems) {
  std::size_t number = 0;
  for (const TomlValue* block : root.tables("plan")) {
    const std::string path = fmt::format("plan[{}]", ++number);
    TomlTable table(*block, path, problems);
    table.must_have("hold", "\"18 Cel\"");
    table.must_have("until", "{ days = 7 }");
    Celsius temperature;
    const bool held = table.read_as("hold", temperature, parse_temperature, "\"18 Cel\"");
    const TomlValue* end = table.find("until");
    const auto until = end ? read_until(*end, path + ".until", problems) : std::nullopt;
    if (held && until) plan.push_back({temperature, *until});
    table.finish();
  }
}

// The line on which a key such as "plan[2].until" stands; that of what encloses it when it is absent.
int line_of(const TomlValue& document, std::string_view key) {
  const TomlValue* at = &document;
  while (!key.empty()) {
    const std::string_view part = key.substr(0, key.find('.'));
    key.remove_prefix(std::min(key.size(), part.size() + 1));
    const std::string_view name = part.substr(0, part.find('['));
    const auto* table = std::get_if<TomlValue::Table>(&at->is);
    const TomlValue* found = nullptr;
    for (std::size_t i = 0; table && i < table->size(); ++i) {
      if ((*table)[i].key == name) found = &(*table)[i].value;
    }
    if (!found) break;
    at = found;
    std::size_t number = 0;
    if (name.size() < part.size()) {
      std::from_chars(part.data() + name.size() + 1, part.data() + part.size(), number);
    }
    const auto* array = std::get_if<TomlValue::Array>(&at->is);
    if (array && number >= 1 && number <= array->size()) at = &(*array)[number - 1];
  }
  return at->line;
}

struct UntilText {
  std::string operator()(const UntilAttenuated& end) const {
    return fmt::format("{{ attenuated = {} }}", end.fraction);
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
  root.must_have("name", "\"Harbour amber\"");
  root.read("name", batch.name);
  read_pitched(root, batch.pitched);
  batch.original_gravity = read_gravity(root, "original_gravity");
  double volume_l = 0;
  if (root.read_as("volume", volume_l, parse_volume_litres, "\"20 L\"")) batch.volume_l = volume_l;
  if (const TomlValue* yeast = root.find("yeast")) read_yeast(*yeast, batch.yeast, problems);
  if (const TomlValue* rule = root.find("final_gravity"))
    read_final_gravity(*rule, batch.final_gravity, problems);
  read_plan(root, batch.plan, problems);
  root.finish();
  BOOST_OUTCOME_TRYV(problems.status());
  if (const auto checked = validate(batch); !checked) {
    const std::string& message = checked.error().message;
    const int line = line_of(document, std::string_view(message).substr(0, message.find(':')));
    return fail(checked.error().code, fmt::format("{}:{}: {}", file_name, line, message));
  }
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
  text += fmt::format("[yeast]\nname = {}\nattenuation = [{}, {}]\ntemperature = [\"{} Cel\", \"{} Cel\"]\n",
                      toml_quoted(yeast.name), yeast.attenuation_low, yeast.attenuation_high,
                      yeast.temperature_low.value, yeast.temperature_high.value);
  text += fmt::format("[final_gravity]\nwindow = \"{} s\"\ntolerance = {}\n",
                      in_seconds(batch.final_gravity.window), batch.final_gravity.tolerance.value / 1000);
  for (const Hold& hold : batch.plan) {
    text += fmt::format("[[plan]]\nhold = \"{} Cel\"\nuntil = {}\n", hold.temperature.value,
                        std::visit(UntilText{}, hold.until));
  }
  return text;
}

}  // namespace gyle
