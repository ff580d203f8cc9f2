#include "wording/alert_sentences.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "wording/alert_title.h"
#include "wording/first_sentence.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kLeastName = 12;  // columns; no name is cut to less

// A decision with what is needed to speak of it.
struct Told {
  const Decision& decision;
  const BatchSpec& batch;
  const DisplaySettings& display;
  std::string beer;    // the batch's name, cut if need be
  std::string sensor;  // likewise

  bool raised() const { return decision.state == Decision::State::raised; }
  bool has(const char* name) const { return std::isfinite(number(name)); }
  // A number that the evidence lacks is never made up: ask has() first where it may be missing.
  double number(const char* name) const { return find(decision.evidence, name).value_or(std::nan("")); }

  std::string gravity(const char* name, int decimals = 3) const {
    return has(name) ? show_gravity(number(name), display, decimals) : "unknown";
  }
  std::string temperature(const char* name) const {
    return has(name) ? show_temperature(number(name), display) : "an unknown temperature";
  }
  std::string percent(const char* name) const {
    return has(name) ? show_percent(number(name)) : "an unknown share";
  }
  std::string moment(const char* name) const {
    return show_time(
        has(name) ? Time(Duration(std::llround(std::clamp(number(name), 0.0, 2e11) * 1000))) : decision.time,
        display);
  }
  // When it began, of something that has lasted so many hours.
  std::string since(const char* hours_name) const {
    return show_time(decision.time - (has(hours_name) ? from_hours(std::clamp(number(hours_name), 0.0, 1e6))
                                                      : Duration(0)),
                     display);
  }
  std::string yeast_range() const {
    return show_temperature_range(batch.yeast.temperature_low.value, batch.yeast.temperature_high.value,
                                  display);
  }
  // Hold number `step`, 1-based, or null.
  const Hold* hold(int step) const {
    return step >= 1 && static_cast<std::size_t>(step) <= batch.plan.size()
               ? &batch.plan[static_cast<std::size_t>(step) - 1]
               : nullptr;
  }
};

std::string started(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} has not started after all: what looked like a fall of gravity was not one. "
        "Keep it at {}; you will be told when it starts, or when it takes too long.",
        t.beer, t.yeast_range());
  }
  std::string text =
      fmt::format("{} is fermenting: gravity began to fall about {}, from {} to {} so far.", t.beer,
                  t.moment("start_time"), t.gravity("original_gravity_sg"), t.gravity("gravity_sg"));
  if (t.has("fall_points")) {
    text += fmt::format(" A fall of {} is more than the float's own wavering.",
                        show_gravity_change(t.number("fall_points"), t.display));
  }
  return text +
         " Nothing to do but keep its temperature. It gives off carbon dioxide, which gathers unseen in "
         "cellars and chest freezers: air them before you lean in, and keep to your local safety rules.";
}

std::string slow_start(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} has started to ferment after all: gravity is {} now. There is no need to pitch again.", t.beer,
        t.gravity("gravity_sg"));
  }
  const double celsius = t.number("temperature_celsius");
  const std::string beer =
      t.has("temperature_celsius") ? fmt::format(", beer at {}", t.temperature("temperature_celsius")) : "";
  const std::string length =
      t.has("hours_since_pitch")
          ? show_length(from_hours(std::clamp(t.number("hours_since_pitch"), 0.0, 1e6)))
          : "long";
  return fmt::format(
      "{} shows no sign of fermentation {} after the pitch: gravity {}{}. A float that cannot swim freely "
      "would look the same: look for foam and measure a sample. {} If nothing has moved by tomorrow, pitch "
      "fresh yeast: left alone, wort that stands still spoils.",
      t.beer, length, t.gravity("gravity_sg"), beer,
      celsius < t.batch.yeast.temperature_low.value
          ? fmt::format("The beer is colder than its yeast likes, {}: warm it gently.", t.yeast_range())
          : fmt::format("Keep the beer at {}.", t.yeast_range()));
}

// " (gravity 1.020, 58 % attenuated)" of what is known.
std::string progress(const Told& t) {
  const bool gravity = t.has("gravity_sg"), attenuation = t.has("attenuation");
  if (!gravity && !attenuation) return "";
  return fmt::format(" ({}{}{})", gravity ? "gravity " + t.gravity("gravity_sg") : "",
                     gravity && attenuation ? ", " : "",
                     attenuation ? t.percent("attenuation") + " attenuated" : "");
}

std::string step_due(const Told& t) {
  const int step = t.decision.step.value_or(0);
  const Hold* ended = t.hold(step);
  if (!t.raised()) {
    return fmt::format("{}: hold {} is not over after all; keep it {}. You will be told when it is.", t.beer,
                       step,
                       ended == nullptr ? "as warm as it was"
                                        : "at " + show_temperature(ended->temperature.value, t.display));
  }
  const Hold* next = t.hold(step + 1);
  if (ended == nullptr || next == nullptr) {
    return fmt::format("{}: hold {}, the last of its plan, ended on {}{}. Its plan asks for nothing more.",
                       t.beer, step, t.moment("due_time"), progress(t));
  }
  const std::string wanted = show_temperature(next->temperature.value, t.display);
  const auto ready = [&](const char* what) {
    return fmt::format("{} has been ready for its next step since {}: {} {}{}.", t.beer, t.moment("due_time"),
                       what, wanted, progress(t));
  };
  if (next->temperature > ended->temperature) {
    return ready("let it warm to") +
           " Within a day is soon enough; left cool much longer it may slow down or stop early.";
  }
  if (next->temperature < ended->temperature) {
    const bool done = std::holds_alternative<UntilFinalGravity>(ended->until);
    return ready("cool it to") +
           (done ? " A day or two later does no harm. As it cools it draws in air, and what is in the "
                   "airlock: see that neither gets into the beer."
                 : " Take a day or two over it: cooled at once, the yeast may go to sleep before it is done, "
                   "and sugar that is left can burst bottles. Tomorrow is soon enough to begin.");
  }
  return ready("keep it at") + " Nothing to do.";
}

// Withdrawn because nobody knows any more.
std::string temperature_unknown(const Told& t) {
  return fmt::format(
      "{}: its temperature has not been known since {}, when it was {}. What was said about it may still be "
      "so: "
      "see why it is not reported, and feel the vessel.",
      t.beer, t.since("unknown_hours"), t.temperature("temperature_celsius"));
}

std::string step_not_held(const Told& t) {
  if (!t.raised()) {
    if (t.has("unknown_hours")) return temperature_unknown(t);
    return fmt::format("{} follows its plan again: it is at {}, on its way to {}. Nothing to do.", t.beer,
                       t.temperature("temperature_celsius"), t.temperature("wanted_celsius"));
  }
  const bool cool = t.number("temperature_celsius") < t.number("wanted_celsius");
  return fmt::format(
      "{} is at {}, but its plan has wanted {} since {}. It has hardly moved for hours. "
      "Change the thermostat, or see why the beer does not follow. {}",
      t.beer, t.temperature("temperature_celsius"), t.temperature("wanted_celsius"),
      t.since("hours_since_due"),
      cool ? "Left cool, it may slow down or stop early."
           : "Left warm, it keeps, but clears later and ages sooner.");
}

std::string temperature_out_of_range(const Told& t) {
  if (!t.raised()) {
    if (t.has("unknown_hours")) return temperature_unknown(t);
    return fmt::format("{} is as warm as it should be again: {}. Nothing to do.", t.beer,
                       t.temperature("temperature_celsius"));
  }
  const bool hot = t.number("temperature_celsius") > t.number("high_celsius");
  return fmt::format(
      "{} has been too {} since {}: it is at {}, and its yeast is happy at {}. "
      "This is no passing swing. {}",
      t.beer, hot ? "warm" : "cold", t.since("hours_outside"), t.temperature("temperature_celsius"),
      t.has("low_celsius") && t.has("high_celsius")
          ? show_temperature_range(t.number("low_celsius"), t.number("high_celsius"), t.display)
          : t.yeast_range(),
      hot ? "Cool it gently, soon if it is young: too warm in its first days gives harsh flavours that stay."
          : "Warm it gently within a day: too cold and the yeast may go to sleep before it is done.");
}

std::string stuck(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} is no longer stuck: gravity is {} now. Leave it alone, and do not bottle it before you are told "
        "that its final gravity is reached.",
        t.beer, t.gravity("gravity_sg"));
  }
  std::string text =
      fmt::format("{} seems to have stopped at {}: it has not moved since {}, and about {} was expected.",
                  t.beer, t.gravity("gravity_sg"), t.since("still_hours"), t.gravity("expected_final_sg"));
  text += t.number("doubtful") == 1 ? " A float that reads high would look the same: measure a sample first."
                                    : " A float is seldom wrong by so much; a sample makes it sure.";
  if (t.has("temperature_fall_celsius")) {
    text += fmt::format(" It has become {} colder, which may be why.",
                        show_temperature_change(t.number("temperature_fall_celsius"), t.display));
  }
  const double warmest = t.batch.yeast.temperature_high.value;
  if (t.number("temperature_celsius") > warmest - 1) {
    text +=
        fmt::format(" At {} it is warm enough: rouse the yeast gently", t.temperature("temperature_celsius"));
  } else {
    text += fmt::format(" Warm it slowly towards {} and rouse the yeast gently",
                        show_temperature(warmest, t.display));
  }
  return text +
         "; if a sample has not moved in two days, pitch fresh yeast. Left alone it may stay sweet, or go on "
         "later. Do not bottle it: the sugar that is left can burst bottles.";
}

std::string final_gravity_stable(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} is moving again, at {}: its final gravity is not reached after all. "
        "Do not package it yet. What is bottled already can come under too much pressure: keep it cold in a "
        "closed box, and protect eyes and hands when you handle it.",
        t.beer, t.gravity("gravity_sg"));
  }
  std::string text =
      fmt::format("{} has reached its final gravity, {}: {}{}.", t.beer, t.gravity("final_gravity_sg"),
                  t.has("window_hours") ? fmt::format("it has not changed since {}", t.since("window_hours"))
                                        : "it does not change any more",
                  t.has("confidence") ? ", " + show_confidence(t.number("confidence")) + " sure" : "");
  if (t.has("final_gravity_low_sg") && t.has("final_gravity_high_sg")) {
    text += fmt::format(" The true gravity is between {} and {} with 80 % certainty.",
                        t.gravity("final_gravity_low_sg", 4), t.gravity("final_gravity_high_sg", 4));
  }
  return text +
         " It can be packaged, and waiting some days more loses nothing. Check a sample by hand first. "
         "Bottles "
         "must be made for pressure: sugar that is left can burst them. Air the cellar before you work in "
         "it, "
         "and keep to your local rules for gas and pressure.";
}

std::string over_attenuated(const Told& t) {
  if (!t.raised()) {
    return fmt::format(
        "{} is within the expected attenuation again: {}. Check a sample by hand before you bottle it.",
        t.beer, t.percent("attenuation"));
  }
  return fmt::format(
      "{} has gone further than its yeast should: {} attenuated on {}, where at most {} was expected{}. "
      "A wild yeast may be at work, or the float may read low: taste it and measure a sample to know. It can "
      "wait for daylight. Do not bottle it while it falls: a wild yeast goes on for weeks, and the pressure "
      "can burst bottles.",
      t.beer, t.percent("attenuation"), show_time(t.decision.time, t.display), t.percent("expected_high"),
      t.has("gravity_sg") ? fmt::format(" (gravity {})", t.gravity("gravity_sg")) : "");
}

std::string usual_interval(const Told& t, const char* before) {
  const double usual_minutes = t.number("usual_interval_minutes");
  return std::isfinite(usual_minutes)
             ? fmt::format("{} every {}", before,
                           show_length(from_hours(std::clamp(usual_minutes / 60, 0.0, 1e6))))
             : "";
}

std::string sensor_silent(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} in {} is heard again{}. Nothing to do.", t.sensor, t.beer,
                       usual_interval(t, ", usually"));
  }
  const std::string meanwhile = " back, this beer is watched less well, and trouble may go unseen.";
  if (t.number("sensors_silent") > 1) {
    return fmt::format(
               "Nothing has been heard from any of the {:.0f} sensors in {} since about {}. All at once it "
               "is "
               "seldom the sensors: look at the receiver, the network and the power first. Until they are",
               t.number("sensors_silent"), t.beer, t.since("silent_hours")) +
           meanwhile;
  }
  return fmt::format("Nothing has been heard from {} in {} since {}{}. That is more than a late message. {}",
                     t.sensor, t.beer, t.since("silent_hours"), usual_interval(t, "; it usually reports"),
                     t.has("battery_volt")
                         ? fmt::format("Its battery was nearly empty, at {:.2f} V: charge or change it.",
                                       t.number("battery_volt"))
                         : "Look at its battery, its distance to the receiver and the network.") +
         " Until it is" + meanwhile;
}

std::string sensor_frozen(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} in {} moves again, and its readings count again. Nothing to do.", t.sensor,
                       t.beer);
  }
  return fmt::format(
      "{} in {} has shown exactly the same value since {}: it may hang or be broken. A healthy one always "
      "wavers a little. Free it or start it anew; nothing is concluded from it meanwhile, and trouble may go "
      "unseen.",
      t.sensor, t.beer, t.since("frozen_hours"));
}

std::string sensor_implausible(const Told& t) {
  if (!t.raised()) {
    return fmt::format("{} in {} makes sense again, and its readings count again. Nothing to do.", t.sensor,
                       t.beer);
  }
  const double refused = t.number("refused_readings");
  const std::string left_out = std::isfinite(refused) ? fmt::format(" ({:.0f} {} left out by {})", refused,
                                                                    refused == 1 ? "reading" : "readings",
                                                                    show_time(t.decision.time, t.display))
                                                      : "";
  const double off_h = t.number("clock_off_hours");
  if (std::isfinite(off_h)) {
    return fmt::format(
        "The clock of {} in {} is wrong: {} {}{}. Set it, or let it send without the time. Until then its "
        "readings count for nothing, and this beer is watched less well.",
        t.sensor, t.beer, show_length(from_hours(std::clamp(off_h, -1e7, 1e7))),
        off_h > 0 ? "ahead" : "behind", left_out);
  }
  return fmt::format(
      "{} in {} reports what cannot be true{}. No beer gives such readings, whatever the cause. Check its "
      "wire, its calibration and its clock; until it makes sense this beer is watched less well.",
      t.sensor, t.beer, left_out);
}

std::string battery_low(const Told& t) {
  if (!t.raised()) {
    return fmt::format("The battery of {} in {} is good again. Nothing to do.", t.sensor, t.beer);
  }
  std::string text = fmt::format("The battery of {} in {} is low", t.sensor, t.beer);
  if (t.has("battery_volt")) {
    text += fmt::format(": {:.2f} V on {}", t.number("battery_volt"), show_time(t.decision.time, t.display));
  }
  if (t.has("days_left")) {
    const double left = std::clamp(t.number("days_left"), 0.0, 1e5);
    text += left < 1 ? ", enough for less than a day"
                     : fmt::format(", enough for about {}", show_length(from_hours(24 * left)));
  }
  return text +
         ". Charge or change it when the lid is next off, and before it is empty. Left alone it falls "
         "silent, "
         "and this beer is no longer watched.";
}

// Of whatever kind, when the batch has been judged anew and it does not stand by that.
std::string taken_back(const Told& t) {
  return fmt::format(
      "No longer so of {}: \"{}\". Something that was entered about it has been put right, and it was judged "
      "anew by that. {}",
      t.beer, alert_phrase(t.decision.kind, Decision::State::raised, t.sensor),
      t.decision.kind == AlertKind::final_gravity_stable ? "Do not package it: its final gravity is not sure."
                                                         : "gylekeeper explain tells how it stands now.");
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
  const auto row = std::find_if(kSentences.begin(), kSentences.end(),
                                [&](const Row& r) { return r.kind == decision.kind; });
  if (row == kSentences.end()) return fmt::format("{}: {}.", batch.name, name(decision.kind));
  const auto sentence = find(decision.evidence, "put_right") ? taken_back : row->sentence;
  std::size_t beer_columns = columns(batch.name);
  std::size_t sensor_columns = columns(decision.sensor);
  while (true) {
    std::string text = sentence({decision, batch, display, name_in_sentence(batch.name, beer_columns),
                                 name_in_sentence(decision.sensor, sensor_columns)});
    const std::size_t length = columns(first_sentence(text));
    std::size_t& longer = beer_columns > sensor_columns ? beer_columns : sensor_columns;
    if (length <= kFirstSentence || longer <= kLeastName) return text;
    longer -= std::min(length - kFirstSentence, longer - kLeastName);
  }
}

}  // namespace gyle
