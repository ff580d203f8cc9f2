#include "wording/digest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "wording/fitted_text.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"

namespace gyle {
namespace {

constexpr std::size_t kMostName = 40;  // columns

std::string where_it_stands(const DigestEntry& entry, Time now, const DisplaySettings& display) {
  const auto& [vessel, batch, view] = entry;
  std::string line = fmt::format("{}, in {}: ", fitted(batch.name, kMostName), fitted(vessel, kMostName));
  line += view.final_gravity_since ? "finished" : stage_words(view.stage);
  if (now >= batch.pitched) line += fmt::format(", day {:.0f}", std::floor(in_days(now - batch.pitched)) + 1);
  line += view.gravity ? ", gravity " + show_gravity_with_doubt(*view.gravity, display) : ", gravity unknown";
  if (view.attenuation && view.stage != Stage::lag) line += ", " + show_attenuation(*view.attenuation);
  if (view.known && view.old_at(now)) {
    line += fmt::format(", all as of {}", show_time_from(*view.known, display, now));
  }
  if (view.temperature) line += ", " + show_temperature(view.temperature->value, display);
  return line + ".";
}

// "about Thu 5 Mar 20:00, in 8 of 10 cases between ..."; "" when it is not a time that can be shown.
std::string when(const TimeInterval& moment, const DisplaySettings& display) {
  const std::string span = show_span(moment, display);
  if (span.empty()) return "";
  const std::string at = show_time(moment.value, display);
  if (moment.high - moment.low < minutes(1)) return at;
  return fmt::format("about {}, in 8 of 10 cases {}", at, span);
}

std::string what_comes(const DigestEntry& entry, Time now, const DisplaySettings& display) {
  const auto& [vessel, batch, view] = entry;
  if (view.old_at(now)) {
    return "Nothing newer is known, so what comes next cannot be said: see to its hydrometer, or measure a "
           "sample.";
  }
  if (view.final_gravity_since) {
    return fmt::format("Ready to package: final gravity reached {}.",
                       show_time_from(*view.final_gravity_since, display, now));
  }
  if (!view.gravity)
    return "No gravity has been received yet: check that its hydrometer is in the beer and sends.";
  if (view.stage == Stage::stuck) {
    return fmt::format(
        "It seems to have stopped early: measure a sample, warm it slowly ({}), rouse the yeast. Do not "
        "bottle it.",
        kHeaterCutOut);
  }
  const Forecast& forecast = view.forecast;
  const auto step = static_cast<std::size_t>(forecast.step.value_or(0));
  const bool step_is_end = step >= 1 && step <= batch.plan.size() &&
                           std::holds_alternative<UntilFinalGravity>(batch.plan[step - 1].until);
  std::string text;
  if (forecast.step_time && !step_is_end) {
    if (const std::string at = when(*forecast.step_time, display); !at.empty()) {
      const bool followed = step < batch.plan.size();
      text = fmt::format(
          "Next: hold {} is over {}{}.", step, at,
          followed ? fmt::format(", then {}", show_temperature(batch.plan[step].temperature.value, display))
                   : "");
    }
  }
  if (forecast.final_time && text.empty()) {
    if (const std::string at = when(*forecast.final_time, display); !at.empty()) {
      const std::string level =
          forecast.final_gravity ? " of about " + show_gravity(forecast.final_gravity->value, display) : "";
      text = fmt::format("Next: its final gravity{} is reached {}.", level, at);
    }
  }
  return text.empty() ? "Too early to say what comes next and when." : text;
}

std::string trouble(const SensorHealth& sensor, const DisplaySettings& display) {
  std::vector<std::string> what;
  if (sensor.silent) {
    what.push_back(sensor.last_heard ? "silent since " + show_time(*sensor.last_heard, display) : "silent");
  }
  if (sensor.frozen) what.emplace_back("shows the same value all the time");
  if (sensor.clock_off) {
    what.push_back(fmt::format("clock {} {}", show_length(std::chrono::abs(*sensor.clock_off)),
                               *sensor.clock_off > Duration(0) ? "ahead" : "behind"));
  } else if (sensor.implausible) {
    what.emplace_back("reports what cannot be true");
  }
  if (sensor.battery_low) {
    what.push_back(
        sensor.battery_days && std::isfinite(sensor.battery_days->value)
            ? fmt::format("battery good for about {}",
                          show_length(from_hours(24 * std::clamp(sensor.battery_days->value, 0.0, 1e4))))
            : "battery low");
  }
  return fmt::format("{}", fmt::join(what, ", "));
}

std::string sensors(const DigestEntry& entry, const DisplaySettings& display) {
  std::string text;
  for (const SensorHealth& sensor : entry.view.sensors) {
    const std::string what = trouble(sensor, display);
    if (!what.empty())
      text +=
          fmt::format("{}{} {}", text.empty() ? " Trouble: " : "; ", fitted(sensor.sensor, kMostName), what);
  }
  return text.empty() ? text : text + ".";
}

}  // namespace

std::string digest_text(std::span<const DigestEntry> entries, Time now, const DisplaySettings& display) {
  if (entries.empty()) {
    return fmt::format("Nothing is fermenting in any vessel ({}).", show_time(now, display));
  }
  std::string text = fmt::format("Your beer on {}:", show_time(now, display));
  for (const DigestEntry& entry : entries) {
    text += fmt::format("\n{}\n  {}{}", where_it_stands(entry, now, display), what_comes(entry, now, display),
                        sensors(entry, display));
  }
  return text;
}

}  // namespace gyle
