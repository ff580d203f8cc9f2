#include "wording/outlook_lines.h"

#include <fmt/format.h>

#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

std::string expected(const TimeInterval& when, const DisplaySettings& display) {
  const std::string span = show_span(when, display);
  if (span.empty()) return "too early to say";
  if (when.high - when.low < minutes(1)) return show_time(when.value, display);
  return fmt::format("about {}, {}", show_time(when.value, display), span);
}

std::vector<std::string> of(const BatchSpec& batch, const WhatIf& question, const Outlook& outlook,
                            const DisplaySettings& display) {
  std::vector<std::string> lines;
  const Forecast& forecast = outlook.forecast;
  if (forecast.final_gravity) {
    lines.push_back(fmt::format("Final gravity: about {}, between {} and {}.",
                                show_gravity(forecast.final_gravity->value, display, 4),
                                show_gravity(forecast.final_gravity->low, display, 4),
                                show_gravity(forecast.final_gravity->high, display, 4)));
  }
  if (forecast.end_unknown) {
    lines.emplace_back(
        "It has gone further than its yeast should and may go on: where and when it ends is not known.");
  }
  if (forecast.final_time) {
    lines.push_back(fmt::format("Reached: {}.", expected(*forecast.final_time, display)));
  }
  if (outlook.ready_time) {
    lines.push_back(fmt::format("Stable for {} and ready to package: {}.",
                                show_length(batch.final_gravity.window),
                                expected(*outlook.ready_time, display)));
  } else {
    lines.emplace_back("When it will be ready cannot be said yet.");
  }
  // A hold until final gravity is over when that is found stable, which is said already.
  const bool to_the_end = forecast.step && static_cast<std::size_t>(*forecast.step) <= batch.plan.size() &&
                          std::holds_alternative<UntilFinalGravity>(
                              batch.plan[static_cast<std::size_t>(*forecast.step) - 1].until);
  if (forecast.step && forecast.step_time && !(to_the_end && outlook.ready_time)) {
    lines.push_back(
        fmt::format("Hold {} is over: {}.", *forecast.step, expected(*forecast.step_time, display)));
  }
  if (question.ready_by && outlook.chance_ready) {
    lines.push_back(fmt::format("Ready by {} {}.", show_time(*question.ready_by, display),
                                show_chance(*outlook.chance_ready)));
  }
  return lines;
}

}  // namespace

std::string show_span(const TimeInterval& when, const DisplaySettings& display) {
  constexpr Time kEarliest{}, kYear10000{seconds(253402300800)};
  if (!(when.low > kEarliest && when.high >= when.low && when.high < kYear10000)) return "";
  const bool by_hours = when.high - when.low < hours(36);
  const auto show = [&](Time time) { return by_hours ? show_time(time, display) : show_day(time, display); };
  const std::string low = show(when.low), high = show(when.high);
  return low == high ? "about " + low : fmt::format("between {} and {}", low, high);
}

std::string show_chance(double chance) {
  if (chance < 0.05) return "in fewer than 1 of 20 cases";
  if (chance > 0.95) return "in more than 19 of 20 cases";
  return fmt::format("in {:.0f} of 10 cases", std::max(1.0, std::min(9.0, std::round(chance * 10))));
}

std::string old_sentence(const BatchView& view, const DisplaySettings& display, Time now) {
  if (!view.known || !view.old_at(now)) return "";
  return fmt::format(
      "Its gravity has not been known since {}: nothing can be said of what comes. See to its hydrometer, or "
      "measure a sample.",
      show_time_from(*view.known, display, now));
}

std::vector<std::string> outlook_lines(const BatchSpec& batch, const BatchView& view, const WhatIf& question,
                                       const Outlook& planned, const std::optional<Outlook>& supposed,
                                       const DisplaySettings& display, Time now) {
  if (std::string old = old_sentence(view, display, now); !old.empty()) return {std::move(old)};
  std::vector<std::string> lines = of(batch, question, planned, display);
  if (planned.forecast.final_gravity || planned.forecast.step_time || planned.ready_time) {
    lines.emplace_back("Each interval holds the truth in 8 of 10 cases.");
  }
  if (!question.hold || !supposed) return lines;
  lines.push_back(
      fmt::format("Held at {} from {} on:", show_temperature(question.hold->temperature.value, display),
                  show_time(question.hold->from, display)));
  for (const std::string& line : of(batch, question, *supposed, display)) lines.push_back("  " + line);
  if (planned.ready_time && supposed->ready_time) {
    const Duration later = supposed->ready_time->value - planned.ready_time->value;
    lines.push_back(std::chrono::abs(later) < minutes(30)
                        ? "That makes no difference of more than half an hour."
                        : fmt::format("That is about {} {} than as planned.",
                                      show_length(std::chrono::abs(later)),
                                      later < Duration(0) ? "sooner" : "later"));
  }
  const Celsius wanted = question.hold->temperature;
  if (wanted < batch.yeast.temperature_low || wanted > batch.yeast.temperature_high) {
    lines.push_back(fmt::format("{} is outside its yeast's range, {}: the forecast is less sure there.",
                                show_temperature(wanted.value, display),
                                show_temperature_range(batch.yeast.temperature_low.value,
                                                       batch.yeast.temperature_high.value, display)));
  }
  return lines;
}

}  // namespace gyle
