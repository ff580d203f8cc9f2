#include "config/set_point_settings.h"

#include <fmt/format.h>

#include <utility>

#include "config/channel_blocks.h"
#include "config/toml_reader.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

constexpr std::string_view kValue = "{value}";
// No beer ferments outside of these; a limit beyond them is a typing error.
constexpr Celsius kColdest{-5};
constexpr Celsius kHottest{45};

Result<Celsius> beer_temperature(std::string_view text) {
  BOOST_OUTCOME_TRY(temperature, parse_temperature(text));
  if (temperature >= kColdest && temperature <= kHottest) return temperature;
  return fail(Errc::out_of_range, fmt::format("\"{}\" is not between -5 and 45 °C", text));
}

auto pause_between(Duration lowest, Duration highest, std::string_view range) {
  return [=](std::string_view text) -> Result<Duration> {
    BOOST_OUTCOME_TRY(length, parse_duration(text));
    if (length >= lowest && length <= highest) return length;
    return fail(Errc::out_of_range, fmt::format("\"{}\" is not between {}", text, range));
  };
}

Result<Duration> resend_pause(std::string_view text) {
  if (text.empty()) return Duration(0);
  return pause_between(seconds(30), hours(24), "30 s and 24 h")(text);
}

Result<SetPointSettings::Unit> thermostat_unit(std::string_view text) {
  if (text == "C" || text == "Cel") return SetPointSettings::Unit::celsius;
  if (text == "F" || text == "[degF]") return SetPointSettings::Unit::fahrenheit;
  return fail(Errc::malformed, fmt::format("\"{}\" is not known here; write \"C\" or \"F\"", text));
}

Result<bool> is_automatic(std::string_view text) {
  if (text == "automatic") return true;
  if (text == "confirmed") return false;
  return fail(Errc::malformed,
              fmt::format("\"{}\" is not known here; write \"confirmed\" or \"automatic\"", text));
}

Result<std::string> body_with_value(std::string_view text) {
  if (text.find(kValue) != std::string_view::npos && text.size() <= 1024) return std::string(text);
  return fail(Errc::malformed, "a text of at most 1024 bytes with \"{value}\" in it is expected");
}

}  // namespace

SetPointSettings read_set_point(TomlTable& table) {
  SetPointSettings settings;
  table.must_have("topic", "\"cellar/bucket/target\"");
  table.read_as("topic", settings.topic, checked_topic);
  table.must_have("lowest", "\"10 C\"");
  table.must_have("highest", "\"24 C\"");
  const bool low = table.read_as("lowest", settings.rule.lowest, beer_temperature, "\"10 C\"");
  const bool high = table.read_as("highest", settings.rule.highest, beer_temperature, "\"24 C\"");
  if (low && high && !(settings.rule.lowest < settings.rule.highest)) {
    table.problem("highest", "it must be above lowest");
  }
  table.read_as("when", settings.rule.automatic, is_automatic);
  table.read_as("unit", settings.unit, thermostat_unit);
  table.read_as("body", settings.body, body_with_value);
  table.read_as("resend", settings.rule.resend, resend_pause, "\"10 min\"");
  table.read_as("least_pause", settings.rule.least_pause,
                pause_between(minutes(1), hours(24), "1 min and 24 h"), "\"30 min\"");
  table.read("retained", settings.retained);
  table.finish();
  return settings;
}

std::string set_point_message(const SetPointSettings& settings, Celsius temperature) {
  const bool fahrenheit = settings.unit == SetPointSettings::Unit::fahrenheit;
  std::string number = fmt::format("{:.2f}", fahrenheit ? to_fahrenheit(temperature) : temperature.value);
  number.erase(number.find_last_not_of('0') + 1);
  if (number.back() == '.') number.pop_back();
  if (number == "-0") number = "0";
  std::string message = settings.body;
  for (std::size_t at = 0; (at = message.find(kValue, at)) != std::string::npos; at += number.size()) {
    message.replace(at, kValue.size(), number);
  }
  return message;
}

}  // namespace gyle
