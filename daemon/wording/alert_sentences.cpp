#include "wording/alert_sentences.h"

#include <fmt/format.h>

#include <array>
#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

// A decision with what is needed to speak of it.
struct Told {
  const Decision& decision;
  const BatchSpec& batch;
  const DisplaySettings& display;

  bool has(const char* name) const { return find(decision.evidence, name).has_value(); }
  // Evidence that decision.h promises; a missing number is shown as such, never invented.
  double number(const char* name) const { return find(decision.evidence, name).value_or(std::nan("")); }

  std::string gravity(const char* name, int decimals = 3) const {
    return show_gravity(number(name), display, decimals);
  }
  std::string temperature(const char* name) const { return show_temperature(number(name), display); }
  std::string length(const char* hours_name) const {
    const double h = number(hours_name);
    return std::isfinite(h) ? show_length(from_hours(h)) : "some time";
  }
  std::string moment(const char* name) const {
    const double s = number(name);
    return std::isfinite(s) ? show_time(Time(Duration(std::llround(s * 1000))), display) : "now";
  }
  std::string yeast_range() const {
    return show_temperature_range(batch.yeast.temperature_low.value, batch.yeast.temperature_high.value,
                                  display);
  }
  // The hold that follows number `step`, or null.
  const Hold* next_hold() const {
    const auto step = static_cast<std::size_t>(decision.step.value_or(0));
    return step >= 1 && step < batch.plan.size() ? &batch.plan[step] : nullptr;
  }
  bool raised() const { return decision.state == Decision::State::raised; }
};

std::string started(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} has not started after all: what looked like a fall of gravity was not one.",
                       t.batch.name);
  }
  return fmt::format(
      "{} is fermenting: gravity has begun to fall, from {} to {}, since about {}. "
      "Nothing to do but keep its temperature.",
      t.batch.name, t.gravity("original_gravity_sg"), t.gravity("gravity_sg"), t.moment("start_time"));
}

std::string slow_start(const Told& t) {
  if (!t.raised()) return fmt::format("{} has started to ferment after all.", t.batch.name);
  const std::string beer =
      t.has("temperature_celsius") ? fmt::format(", beer at {}", t.temperature("temperature_celsius")) : "";
  return fmt::format(
      "{} shows no sign of fermentation {} after the pitch (gravity {}{}). "
      "See that the beer is at {} and that the float swims freely. If nothing moves by "
      "tomorrow, pitch fresh yeast: wort that stands still spoils.",
      t.batch.name, t.length("hours_since_pitch"), t.gravity("gravity_sg"), beer, t.yeast_range());
}

std::string step_due(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{}: hold {} is not over after all, keep the temperature as it was.", t.batch.name,
                       t.decision.step.value_or(0));
  }
  const auto step = static_cast<std::size_t>(t.decision.step.value_or(1));
  const Hold* next = t.next_hold();
  if (next == nullptr) {
    return fmt::format("{}: hold {}, the last of the plan, is over (gravity {}, {} attenuated).",
                       t.batch.name, step, t.gravity("gravity_sg"), show_percent(t.number("attenuation")));
  }
  const bool warmer = step > t.batch.plan.size() || next->temperature > t.batch.plan[step - 1].temperature;
  std::string text = fmt::format("{} is ready for its next step: {} {} (gravity {}, {} attenuated).",
                                 t.batch.name, warmer ? "let it warm to" : "cool it to",
                                 show_temperature(next->temperature.value, t.display),
                                 t.gravity("gravity_sg"), show_percent(t.number("attenuation")));
  if (t.number("due_time") < in_seconds(t.decision.time.time_since_epoch()) - 3600) {
    text += fmt::format(" Hold {} was over at {}.", step, t.moment("due_time"));
  }
  if (warmer) text += " Within a day is soon enough; left cool much longer it may slow down or stop early.";
  return text;
}

std::string step_not_held(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} has reached the temperature of its step, {}.", t.batch.name,
                       t.temperature("temperature_celsius"));
  }
  return fmt::format(
      "{} is at {}, but its plan has wanted {} for {}. "
      "Change the thermostat, or see why the beer does not follow.",
      t.batch.name, t.temperature("temperature_celsius"), t.temperature("wanted_celsius"),
      t.length("hours_since_due"));
}

std::string temperature_out_of_range(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} is back where its yeast is happy: {}.", t.batch.name,
                       t.temperature("temperature_celsius"));
  }
  const bool hot = t.number("temperature_celsius") > t.number("high_celsius");
  return fmt::format("{} is too {}: {} for {}; its yeast is happy at {}. {}", t.batch.name,
                     hot ? "warm" : "cold", t.temperature("temperature_celsius"), t.length("hours_outside"),
                     show_temperature_range(t.number("low_celsius"), t.number("high_celsius"), t.display),
                     hot ? "Cool it gently: too warm early on gives harsh flavours."
                         : "Warm it gently: too cold and the yeast may go to sleep before it is done.");
}

std::string stuck(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} is no longer stuck: gravity is {} now.", t.batch.name, t.gravity("gravity_sg"));
  }
  std::string text =
      fmt::format("{} has stopped at {} and not moved for {}; about {} was expected.", t.batch.name,
                  t.gravity("gravity_sg"), t.length("still_hours"), t.gravity("expected_final_sg"));
  if (t.has("temperature_fall_celsius")) {
    text += fmt::format(" It has become {} colder, which may be why.",
                        show_temperature_change(t.number("temperature_fall_celsius"), t.display));
  }
  if (t.number("doubtful") == 1)
    text += " A float that reads high would look the same: measure a sample first.";
  text += fmt::format(
      " Warm it slowly towards {} and rouse the yeast gently; if a sample has not moved in two days, "
      "pitch fresh yeast. Do not bottle it: the sugar left can burst bottles.",
      show_temperature(t.batch.yeast.temperature_high.value, t.display));
  return text;
}

std::string final_gravity_stable(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} is moving again, at {}: its final gravity is not reached after all. "
        "Do not package yet; what is bottled already, keep cold and handle with care.",
        t.batch.name, t.gravity("gravity_sg"));
  }
  return fmt::format(
      "{} has reached its final gravity: {}, unchanged for {} ({} attenuated). "
      "It can be packaged. True gravity is between {} and {} with 80 % certainty.",
      t.batch.name, t.gravity("final_gravity_sg"), t.length("window_hours"),
      show_percent(t.number("attenuation")), t.gravity("final_gravity_low_sg", 4),
      t.gravity("final_gravity_high_sg", 4));
}

std::string over_attenuated(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} is within the expected attenuation again: {}.", t.batch.name,
                       show_percent(t.number("attenuation")));
  }
  return fmt::format(
      "{} has gone further than its yeast should: {} attenuated, at most {} expected (gravity {}). "
      "Taste and measure a sample: a wild yeast goes on for weeks, a float that reads low would look "
      "the same. Do not bottle while it falls: pressure builds up.",
      t.batch.name, show_percent(t.number("attenuation")), show_percent(t.number("expected_high")),
      t.gravity("gravity_sg"));
}

std::string sensor_silent(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} of {} is heard again.", t.decision.sensor, t.batch.name);
  }
  const double usual_minutes = t.number("usual_interval_minutes");
  const std::string usual =
      std::isfinite(usual_minutes)
          ? fmt::format("; it usually reports every {}", show_length(from_hours(usual_minutes / 60)))
          : "";
  return fmt::format(
      "Nothing from {} of {} for {}{}. Look at its battery, its distance to the receiver and the "
      "network; until it is back this beer is watched less well.",
      t.decision.sensor, t.batch.name, t.length("silent_hours"), usual);
}

std::string sensor_frozen(const Told& t) {
  if (!t.raised()) return fmt::format("{} of {} moves again.", t.decision.sensor, t.batch.name);
  return fmt::format(
      "{} of {} has shown exactly the same value for {}: it may hang or be broken. "
      "Free or restart it; nothing is concluded from it meanwhile.",
      t.decision.sensor, t.batch.name, t.length("frozen_hours"));
}

std::string sensor_implausible(const Told& t) {
  if (!t.raised()) return fmt::format("{} of {} makes sense again.", t.decision.sensor, t.batch.name);
  return fmt::format(
      "{} of {} reports what cannot be ({:.0f} readings left out). "
      "Check its wire, its calibration and its clock.",
      t.decision.sensor, t.batch.name, t.number("refused_readings"));
}

std::string battery_low(const Told& t) {
  if (!t.raised()) return fmt::format("{} of {} has a good battery again.", t.decision.sensor, t.batch.name);
  return fmt::format(
      "The battery of {} in {} is low ({:.2f} V). Charge or change it when the lid is next off.",
      t.decision.sensor, t.batch.name, t.number("battery_volt"));
}

struct Row {
  AlertKind kind;
  std::string (*sentence)(const Told&);
};
constexpr std::array<Row, 12> kSentences{{
    {AlertKind::fermentation_started, started},
    {AlertKind::slow_start, slow_start},
    {AlertKind::step_due, step_due},
    {AlertKind::step_not_held, step_not_held},
    {AlertKind::temperature_out_of_range, temperature_out_of_range},
    {AlertKind::stuck, stuck},
    {AlertKind::final_gravity_stable, final_gravity_stable},
    {AlertKind::over_attenuated, over_attenuated},
    {AlertKind::sensor_silent, sensor_silent},
    {AlertKind::sensor_frozen, sensor_frozen},
    {AlertKind::sensor_implausible, sensor_implausible},
    {AlertKind::battery_low, battery_low},
}};

}  // namespace

std::string alert_sentence(const Decision& decision, const BatchSpec& batch, const DisplaySettings& display) {
  for (const Row& row : kSentences) {
    if (row.kind == decision.kind) return row.sentence(Told{decision, batch, display});
  }
  return batch.name + ": " + name(decision.kind);
}

}  // namespace gyle
