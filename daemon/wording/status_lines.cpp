#include "wording/status_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>
#include <vector>

#include "units/gravity.h"
#include "wording/format.h"

namespace gyle {
namespace {

struct Character {
  std::string_view bytes;
  std::size_t columns;
  bool printable;  // neither a control character nor broken UTF-8
};

Character first_character(std::string_view text) {
  const auto byte = [text](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char lead = byte(0);
  const std::size_t wanted = lead < 0x80 ? 1 : lead < 0xe0 ? 2 : lead < 0xf0 ? 3 : 4;
  std::size_t length = 1;
  while (length < wanted && length < text.size() && (byte(length) & 0xc0) == 0x80) ++length;
  const bool control = lead < 0x20 || lead == 0x7f || (lead == 0xc2 && length == 2 && byte(1) < 0xa0);
  const bool whole = length == wanted && (lead < 0x80 || (lead >= 0xc2 && lead < 0xf5));
  return {text.substr(0, length), lead >= 0xe3 ? 2u : 1u, whole && !control};  // wide only from U+3000 on
}

std::size_t width(std::string_view text) {
  std::size_t columns = 0;
  while (!text.empty()) {
    const Character c = first_character(text);
    columns += c.columns;
    text.remove_prefix(c.bytes.size());
  }
  return columns;
}

// Cut to `columns`, with an ellipsis where something is missing, control characters shown as question marks.
std::string fitted(std::string_view text, std::size_t columns) {
  std::string line;
  const bool whole = width(text) <= columns;
  std::size_t left = whole ? columns : columns - 1;
  while (!text.empty()) {
    const Character c = first_character(text);
    if (c.columns > left) break;
    left -= c.columns;
    line += c.printable ? c.bytes : "?";
    text.remove_prefix(c.bytes.size());
  }
  return whole ? line : line + "…";
}

// As many of the parts as fit on one line, in order.
std::string joined(const std::vector<std::string>& parts) {
  std::string line;
  for (const std::string& part : parts) {
    const std::string longer = line.empty() ? part : line + ", " + part;
    if (width(longer) <= kStatusColumns) line = longer;
  }
  return line;
}

const char* phrase(Standing standing) {
  switch (standing) {
    case Standing::lag:
      return "not started";
    case Standing::attenuating:
      return "fermenting";
    case Standing::slowing:
      return "slowing";
    case Standing::settled:
      return "settled";
    case Standing::stuck:
      return "stuck";
  }
  return "";
}

std::string gravity_with_doubt(const Interval& gravity, const DisplaySettings& display) {
  if (display.gravity == DisplaySettings::Gravity::plato) {
    const auto plato = [](double sg) { return to_plato(SpecificGravity::unchecked(sg)).value; };
    return fmt::format("{:.1f} ± {:.1f} °P", plato(gravity.value),
                       (plato(gravity.high) - plato(gravity.low)) / 2);
  }
  return fmt::format("{:.4f} ± {:.4f}", gravity.value, (gravity.high - gravity.low) / 2);
}

// "Fri 6 Mar 18:00 ± 5 h" of a forecast in seconds since the epoch.
std::string moment_with_doubt(const Interval& moment, const DisplaySettings& display) {
  const auto time = [](double s) { return Time(Duration(std::llround(s * 1000))); };
  return fmt::format("{} ± {}", show_time(time(moment.value), display),
                     show_length((time(moment.high) - time(moment.low)) / 2));
}

bool presentable(const std::optional<Interval>& moment) {
  constexpr double kYear10000 = 253402300800.0;
  return moment && moment->low > 0 && moment->high < kYear10000;
}

// When the newest of the sensors was heard.
std::optional<Time> last_heard(const BatchView& view) {
  std::optional<Time> newest;
  for (const SensorHealth& sensor : view.sensors) {
    if (sensor.last_heard && (!newest || *sensor.last_heard > *newest)) newest = sensor.last_heard;
  }
  return newest;
}

std::string what_next(const BatchSpec& batch, const BatchView& view, const DisplaySettings& display,
                      Time now) {
  const std::optional<Time> heard = last_heard(view);
  const bool all_silent = !view.sensors.empty() && std::all_of(view.sensors.begin(), view.sensors.end(),
                                                               [](const auto& s) { return s.silent; });
  if (all_silent && heard) return fmt::format("no sensor heard for {}", show_length(now - *heard));
  if (!view.gravity) return "no gravity reading yet";
  if (view.final_gravity_since) {
    return fmt::format("final gravity stable since {}", show_time(*view.final_gravity_since, display));
  }
  if (view.standing == Standing::stuck) return "stopped early: see its alerts";

  const Forecast& forecast = view.forecast;
  const auto step = static_cast<std::size_t>(forecast.step.value_or(0));
  const bool waits_for_end = step >= 1 && step <= batch.plan.size() &&
                             std::holds_alternative<UntilFinalGravity>(batch.plan[step - 1].until);
  if (step >= 1 && !waits_for_end && presentable(forecast.step_time)) {
    return fmt::format("hold {} over {}", step, moment_with_doubt(*forecast.step_time, display));
  }
  if (forecast.final_gravity && presentable(forecast.final_time)) {
    return fmt::format("ends at {} {}", show_gravity(forecast.final_gravity->value, display),
                       moment_with_doubt(*forecast.final_time, display));
  }
  return "too early to say when it ends";
}

}  // namespace

std::array<std::string, 3> status_lines(const std::string& vessel, const BatchSpec& batch,
                                        const BatchView& view, const DisplaySettings& display, Time now) {
  const std::string age =
      now < batch.pitched ? "" : fmt::format(", day {:.0f}", std::floor(in_days(now - batch.pitched)) + 1);
  const std::string title =
      fitted(fmt::format("{}: {}", vessel, batch.name), kStatusColumns - width(age)) + age;

  std::vector<std::string> parts{phrase(view.standing)};
  if (view.gravity) parts.push_back(gravity_with_doubt(*view.gravity, display));
  if (view.temperature) parts.push_back(show_temperature(*view.temperature, display));
  if (view.attenuation && view.standing != Standing::lag) parts.push_back(show_percent(*view.attenuation));
  return {title, joined(parts), fitted(what_next(batch, view, display, now), kStatusColumns)};
}

}  // namespace gyle
