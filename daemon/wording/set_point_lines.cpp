#include "wording/set_point_lines.h"

#include <fmt/format.h>

#include "wording/format.h"

namespace gyle {
namespace {

std::string limits(const SetPointRule& rule, const DisplaySettings& display) {
  return show_temperature_range(rule.lowest.value, rule.highest.value, display);
}

std::string yes_command(const std::string& vessel) {
  return fmt::format("gylekeeper set-point {} --confirm", vessel);
}

// Before any hold is over.
std::string what_comes(const BatchSpec& batch, const SetPointRule& rule, const DisplaySettings& display) {
  if (batch.plan.size() < 2)
    return "Its plan has no further temperature that the thermostat could be asked for.";
  const Celsius next = batch.plan[1].temperature;
  const std::string wanted = show_temperature(next.value, display);
  if (!within_limits(rule, next)) {
    return fmt::format(
        "When hold 1 is over the plan wants {}, which your limits forbid, {}: that will be yours to set.",
        wanted, limits(rule, display));
  }
  return fmt::format("When hold 1 is over it is asked for {}{}.", wanted,
                     rule.automatic ? "" : ", after your yes");
}

}  // namespace

std::vector<std::string> set_point_lines(const std::string& vessel, const BatchSpec& batch,
                                         const SetPointStatus& status, const DisplaySettings& display,
                                         Time now) {
  using State = SetPoint::State;
  const SetPoint& next = status.next;
  std::vector<std::string> lines{fmt::format("{}: {}", vessel, batch.name)};
  const auto say = [&](std::string text) { lines.push_back("  " + std::move(text)); };
  const auto temperature = [&](const std::optional<Ask>& ask) {
    return ask ? show_temperature(ask->temperature.value, display) : std::string("nothing");
  };
  const int hold = next.ask ? next.ask->step : 0;
  const std::string wanted = temperature(next.ask);
  switch (next.state) {
    case State::off:
      say("No thermostat is asked for anything: the vessel has no set_point in the configuration.");
      return lines;
    case State::none:
      say("The thermostat is not asked for anything yet: the first hold is yours to set.");
      say(what_comes(batch, status.rule, display));
      break;
    case State::awaits_yes:
      say(fmt::format("Hold {} is over: {} is next, and waits for your yes.", hold, wanted));
      say(yes_command(vessel));
      break;
    case State::agreed:
      say(next.due && *next.due > now
              ? fmt::format(
                    "Hold {} is over: the thermostat is asked for {} at {}, for it was changed less than "
                    "{} before.",
                    hold, wanted, show_time(*next.due, display), show_length(status.rule.least_pause))
              : fmt::format("Hold {} is over: the thermostat is asked for {} now.", hold, wanted));
      break;
    case State::asked:
      say(fmt::format("The thermostat is asked for {}{}{}.", wanted,
                      status.asked_since ? " since " + show_time(*status.asked_since, display) : "",
                      next.due ? fmt::format(", again every {}", show_length(status.rule.resend)) : ""));
      break;
    case State::outside_limits:
      say(fmt::format(
          "Hold {} is over, and the plan wants {}. Your limits forbid that, {}: the thermostat is not "
          "asked for it. Set it by hand if it is what you want.",
          hold, wanted, limits(status.rule, display)));
      break;
    case State::taken_back:
      say(fmt::format(
          "Hold {} is not over after all, but the thermostat was asked for {}. It is not asked to go back: "
          "set it by hand if you want that.",
          hold, wanted));
      break;
    case State::ended:
      say("The batch has left its vessel: the thermostat is not asked for anything any more.");
      break;
  }
  const bool another = next.state == State::awaits_yes || next.state == State::agreed ||
                       next.state == State::outside_limits || next.state == State::ended;
  if (status.asked && another) {
    say(fmt::format("It was asked for {} last{}, and not again since.", temperature(status.asked),
                    status.asked_since ? ", on " + show_time(*status.asked_since, display) : ""));
  }
  if (!status.trouble.empty()) say(fmt::format("The broker did not take it: {}.", status.trouble));
  return lines;
}

std::string set_point_caution() {
  return "The beer's own temperature shows whether it obeys. The thermostat must keep limits of its own, and "
         "a heater must have an independent cut-out: never rely on software alone. A closed vessel can "
         "collapse as it cools: let clean air or carbon dioxide in.";
}

std::string set_point_sentence(const Decision& decision, const BatchSpec& batch, const std::string& vessel,
                               const SetPointRule& rule, const DisplaySettings& display) {
  const int step = decision.step.value_or(0);
  if (step < 1 || static_cast<std::size_t>(step) >= batch.plan.size()) return "";
  const Celsius ended = batch.plan[static_cast<std::size_t>(step) - 1].temperature;
  const Celsius next = batch.plan[static_cast<std::size_t>(step)].temperature;
  if (ended == next) return "";
  const std::string wanted = show_temperature(next.value, display);
  const bool raised = decision.state == Decision::State::raised;
  if (!within_limits(rule, next)) {
    if (decision.kind != AlertKind::step_due || !raised) return "";
    return fmt::format(" Its thermostat is not asked for {}: your limits are {}. Set it by hand.", wanted,
                       limits(rule, display));
  }
  if (decision.kind == AlertKind::step_due) {
    if (!raised) {
      return fmt::format(
          " If its thermostat was asked for {} already, it is not asked to go back: set it by hand.", wanted);
    }
    return rule.automatic ? fmt::format(" Its thermostat is asked for {} now; check that it obeys.", wanted)
                          : fmt::format(" Its thermostat is asked for {} after your yes: {}.", wanted,
                                        yes_command(vessel));
  }
  if (decision.kind != AlertKind::step_not_held || !raised) return "";
  return fmt::format(" `gylekeeper set-point {}` shows what its thermostat was asked for.", vessel);
}

}  // namespace gyle
