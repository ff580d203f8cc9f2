#include "wording/status_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

// As many of the parts as fit on one line, in order.
std::string joined(const std::vector<std::string>& parts) {
  std::string line;
  for (const std::string& part : parts) {
    const std::string longer = line.empty() ? part : line + ", " + part;
    if (columns(longer) <= kStatusColumns) line = longer;
  }
  return line;
}

// "Fri 6 Mar 18:00 ± 5 h".
std::string moment_with_doubt(const TimeInterval& moment, const DisplaySettings& display) {
  return fmt::format("{} ± {}", show_time(moment.value, display),
                     show_length((moment.high - moment.low) / 2));
}

bool presentable(const std::optional<TimeInterval>& moment) {
  constexpr Time kYear10000{seconds(253402300800)};
  return moment && moment->low > Time{} && moment->high < kYear10000;
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
  if (view.known && view.old_at(now)) {
    return fmt::format("as of {}: nothing newer", show_time_from(*view.known, display, now));
  }
  if (all_silent && heard) return fmt::format("no sensor heard for {}", show_length(now - *heard));
  if (!view.gravity) return "no gravity reading yet";
  if (view.final_gravity_since) {
    return fmt::format("final gravity stable since {}",
                       show_time_from(*view.final_gravity_since, display, now));
  }
  if (view.stage == Stage::stuck) return "stopped early: see its alerts";

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
      fitted(fmt::format("{}: {}", vessel, batch.name), kStatusColumns - columns(age)) + age;

  std::vector<std::string> parts{stage_words(view.stage)};
  if (view.gravity) parts.push_back(show_gravity_with_doubt(*view.gravity, display));
  if (view.temperature) parts.push_back(show_temperature(view.temperature->value, display));
  if (view.attenuation && *view.attenuation >= 0.005 && view.stage != Stage::lag) {
    parts.push_back(show_percent(*view.attenuation));
  }
  return {title, joined(parts), fitted(what_next(batch, view, display, now), kStatusColumns)};
}

}  // namespace gyle
