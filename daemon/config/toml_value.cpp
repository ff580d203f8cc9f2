#include "config/toml_value.h"

#include <fmt/format.h>
#include <toml++/toml.h>

#include "base/text.h"

namespace gyle {
namespace {

int line_of(const toml::node& node) { return static_cast<int>(node.source().begin.line); }

Time instant(const toml::date_time& stamp) {
  const std::chrono::year_month_day date(std::chrono::year(stamp.date.year),
                                         std::chrono::month(stamp.date.month),
                                         std::chrono::day(stamp.date.day));
  return Time(std::chrono::sys_days(date)) + hours(stamp.time.hour) + minutes(stamp.time.minute) +
         seconds(stamp.time.second) + Duration(stamp.time.nanosecond / 1'000'000) -
         minutes(stamp.offset->minutes);
}

TomlValue copied(const toml::node& node) {
  TomlValue value;
  value.line = line_of(node);
  if (const auto* table = node.as_table()) {
    TomlValue::Table members;
    for (const auto& [key, member] : *table) members.push_back({std::string(key.str()), copied(member)});
    value.is = std::move(members);
  } else if (const auto* array = node.as_array()) {
    TomlValue::Array elements;
    for (const auto& element : *array) elements.push_back(copied(element));
    value.is = std::move(elements);
  } else if (const auto* text = node.as_string()) {
    value.is = text->get();
  } else if (const auto* integer = node.as_integer()) {
    value.is = integer->get();
  } else if (const auto* real = node.as_floating_point()) {
    value.is = real->get();
  } else if (const auto* truth = node.as_boolean()) {
    value.is = truth->get();
  } else if (const auto* stamp = node.as_date_time(); stamp && stamp->get().offset) {
    value.is = instant(stamp->get());
  } else {
    value.is = TomlValue::Local{};
  }
  return value;
}

}  // namespace

Result<TomlValue> parse_toml(std::string_view text, std::string_view file_name) {
  try {
    TomlValue document = copied(toml::parse(text, file_name));
    document.line = 1;
    return document;
  } catch (const toml::parse_error& error) {
    return fail(Errc::malformed, fmt::format("{}:{}: {}", file_name, error.source().begin.line,
                                             displayable(error.description(), 300)));
  } catch (const std::exception& error) {
    return fail(Errc::malformed, fmt::format("{}:1: {}", file_name, displayable(error.what(), 300)));
  }
}

}  // namespace gyle
