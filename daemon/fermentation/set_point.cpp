#include "fermentation/set_point.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace gyle {

const char* name(SetPoint::State state) {
  constexpr std::array kNames{"off",   "none",           "awaits-yes", "agreed",
                              "asked", "outside-limits", "taken-back", "ended"};
  return kNames[static_cast<std::size_t>(state)];
}

// NaN is outside of any limits.
bool within_limits(const SetPointRule& rule, Celsius temperature) {
  return temperature >= rule.lowest && temperature <= rule.highest;
}

SetPoint next_set_point(const BatchSpec& spec, int holds_over, const SetPointRule& rule,
                        const SetPointPast& past, Time now) {
  using State = SetPoint::State;
  // After the last hold nothing new is wanted.
  const int step = std::min(holds_over, static_cast<int>(spec.plan.size()) - 1);
  if (past.asked && past.asked->step > std::max(step, 0)) return {State::taken_back, past.asked, {}};
  if (step < 1) return {State::none, {}, {}};

  const Ask ask{step, spec.plan[static_cast<std::size_t>(step)].temperature};
  if (!within_limits(rule, ask.temperature)) return {State::outside_limits, ask, {}};
  const auto after = [now](std::optional<Time> last, Duration pause) {
    return last && *last <= now ? *last + pause : now;
  };
  if (past.asked && past.asked->temperature == ask.temperature) {
    const bool again = rule.resend > Duration(0);
    return {State::asked, ask, again ? std::optional(after(past.sent, rule.resend)) : std::nullopt};
  }
  if (!rule.automatic && past.confirmed != ask) return {State::awaits_yes, ask, {}};
  return {State::agreed, ask, after(past.changed, rule.least_pause)};
}

bool step_carried_out(const BatchSpec& spec, int holds_over, std::optional<Celsius> temperature, int step) {
  if (step < 1 || static_cast<std::size_t>(step) >= spec.plan.size() || holds_over > step) return true;
  const auto next = static_cast<std::size_t>(step);
  const Celsius from = spec.plan[next - 1].temperature;
  const double rise = (spec.plan[next].temperature - from).value;
  constexpr double kSmallStep = 1.0;     // K
  constexpr double kMostOfTheWay = 0.7;  // as a step that was not held is withdrawn
  if (std::abs(rise) < kSmallStep) return true;
  return temperature && (*temperature - from).value / rise > kMostOfTheWay;
}

}  // namespace gyle
