#include "config/batch_blocks.h"

#include <fmt/format.h>

#include <charconv>

#include "config/batch_validation.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

constexpr std::string_view kUntilChoices =
    "write { progress = 0.75 }, { attenuation = 0.58 }, { days = 7 }, { gravity = 1.014 } or "
    "\"final-gravity\"";

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
  if (table.has("attenuated")) {
    table.problem("attenuated",
                  "write { progress = 0.75 } for a fraction of the expected fall, or "
                  "{ attenuation = 0.58 } for an apparent attenuation");
    return std::nullopt;
  }
  if (table.read("progress", number, 0, 1.5)) until = UntilProgress{number};
  if (table.read("attenuation", number, 0, 1.1)) until = UntilAttenuation{number};
  if (table.read("days", number, 0, 366)) until = UntilDays{number};
  if (const auto gravity = read_gravity(table, "gravity")) until = UntilGravity{*gravity};
  table.finish();
  return until;
}

}  // namespace

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

void read_yeast(TomlTable& table, Yeast& yeast) {
  table.read("name", yeast.name);
  if (const TomlValue* band = table.find("attenuation")) {
    const auto* ends = std::get_if<TomlValue::Array>(&band->is);
    const auto low = ends && ends->size() == 2 ? number_in((*ends)[0]) : std::nullopt;
    const auto high = ends && ends->size() == 2 ? number_in((*ends)[1]) : std::nullopt;
    if (low && high) {
      yeast.attenuation_low = *low;
      yeast.attenuation_high = *high;
      yeast.attenuation_given = true;
    } else {
      table.problem("attenuation", "two fractions, low and high, are expected, such as [0.73, 0.79]");
    }
  }
  std::vector<std::string> range;
  if (table.read("temperature", range)) {
    if (range.size() != 2) {
      table.problem("temperature", "low and high are expected, such as [\"16 C\", \"22 C\"]");
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
}

void read_plan(TomlTable& root, std::vector<Hold>& plan, TomlProblems& problems) {
  std::size_t number = 0;
  for (const TomlValue* block : root.tables("plan")) {
    const std::string path = fmt::format("plan[{}]", ++number);
    TomlTable table(*block, path, problems);
    table.must_have("hold", "\"18 C\"");
    table.must_have("until", "{ days = 7 }");
    Celsius temperature;
    const bool held = table.read_as("hold", temperature, parse_temperature, "\"18 C\"");
    const TomlValue* end = table.find("until");
    const auto until = end ? read_until(*end, path + ".until", problems) : std::nullopt;
    if (held && until) plan.push_back({temperature, *until});
    table.finish();
  }
}

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

Status validate_in_file(const BatchSpec& batch, const TomlValue& document, std::string_view file_name) {
  const auto checked = validate(batch);
  if (checked) return success();
  const std::string& message = checked.error().message;
  const int line = line_of(document, std::string_view(message).substr(0, message.find(':')));
  return fail(checked.error().code, fmt::format("{}:{}: {}", file_name, line, message));
}

}  // namespace gyle
