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

// A decision with what its sentences need.
struct Subject {
  const Decision& decision;
  const BatchSpec& batch;
  const DisplaySettings& display;
  std::string beer;    // the batch's name, cut if need be
  std::string sensor;  // cut if need be

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

// A vessel that cools draws a vacuum: common practice, no source.
constexpr const char* kVacuum =
    " A closed vessel can collapse as it cools: let clean air or carbon dioxide in.";

std::string started(const Subject& s) {
  if (!s.raised()) {
    return fmt::format(
        "{} has not started after all: what looked like a fall of gravity was not one. Keep it at {}. You "
        "get an alert when it starts, or when it takes too long.",
        s.beer, s.yeast_range());
  }
  return fmt::format(
      "{} is fermenting: gravity began to fall about {}, from {} to {} so far{}. Nothing to do but "
      "keep its temperature. Its carbon dioxide gathers unseen in cellars and chest freezers: air them "
      "before you lean in, and "
      "follow your local rules.",
      s.beer, s.moment("start_time"), s.gravity("original_gravity_sg"), s.gravity("gravity_sg"),
      s.has("fall_points") ? ", more than the sensor's noise" : "");
}

std::string slow_start(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("{} has started to ferment after all: gravity is {} now. Do not pitch again.", s.beer,
                       s.gravity("gravity_sg"));
  }
  const double celsius = s.number("temperature_celsius");
  const std::string beer =
      s.has("temperature_celsius") ? fmt::format(", beer at {}", s.temperature("temperature_celsius")) : "";
  const std::string length =
      s.has("hours_since_pitch")
          ? show_length(from_hours(std::clamp(s.number("hours_since_pitch"), 0.0, 1e6)))
          : "long";
  return fmt::format(
      "{} shows no sign of fermentation {} after the pitch: gravity {}{}. A hydrometer that is stuck looks "
      "the same: look for foam and measure a sample. If nothing has moved by tomorrow, pitch fresh yeast. {}",
      s.beer, length, s.gravity("gravity_sg"), beer,
      celsius < s.batch.yeast.temperature_low.value
          ? fmt::format("Warm it slowly into its range, {}; {}.", s.yeast_range(), kHeaterCutOut)
          : fmt::format("Keep it at {}.", s.yeast_range()));
}

// " (gravity 1.020, 58 % attenuated)" of what is known.
std::string progress(const Subject& s) {
  std::string words;
  if (s.has("gravity_sg")) words = "gravity " + s.gravity("gravity_sg");
  if (s.has("attenuation")) words += (words.empty() ? "" : ", ") + show_attenuation(s.number("attenuation"));
  return words.empty() ? "" : " (" + words + ")";
}

std::string step_due(const Subject& s) {
  const int step = s.decision.step.value_or(0);
  const Hold* ended = s.hold(step);
  if (!s.raised()) {
    return fmt::format("{}: hold {} is not over after all; keep it {}. You get an alert when it is.", s.beer,
                       step,
                       ended == nullptr ? "as warm as it was"
                                        : "at " + show_temperature(ended->temperature.value, s.display));
  }
  const Hold* next = s.hold(step + 1);
  if (ended == nullptr || next == nullptr) {
    return fmt::format("{}: hold {}, the last of its plan, ended {}{}. The plan asks for nothing more.",
                       s.beer, step, s.moment("due_time"), progress(s));
  }
  const std::string wanted = show_temperature(next->temperature.value, s.display);
  const auto ready = [&](const char* what) {
    return fmt::format("{} has been ready for its next step since {}: {} {}{}.", s.beer, s.moment("due_time"),
                       what, wanted, progress(s));
  };
  if (next->temperature > ended->temperature) {
    return ready("let it warm to") +
           fmt::format(" Do it within a day: left cool, it may slow down or stop early. If you heat it, {}.",
                       kHeaterCutOut);
  }
  if (next->temperature < ended->temperature) {
    const bool done = std::holds_alternative<UntilFinalGravity>(ended->until);
    return ready("cool it to") +
           (done ? " A day or two later does no harm. Do not let it draw in what is in the airlock."
                 : " Begin tomorrow and take a day or two: cooled at once, the yeast may stop early.") +
           kVacuum;
  }
  return ready("keep it at") + " Nothing to do.";
}

// Withdrawn because the temperature is no longer known.
std::string temperature_unknown(const Subject& s) {
  return fmt::format(
      "{}: its temperature has not been known since {}, when it was {}. The alert about it may still hold: "
      "see why its probe is silent, and feel the vessel.",
      s.beer, s.since("unknown_hours"), s.temperature("temperature_celsius"));
}

std::string step_not_held(const Subject& s) {
  if (!s.raised()) {
    if (s.has("unknown_hours")) return temperature_unknown(s);
    return fmt::format("{} follows its plan again: it is at {}, on its way to {}. Nothing to do.", s.beer,
                       s.temperature("temperature_celsius"), s.temperature("wanted_celsius"));
  }
  const bool cool = s.number("temperature_celsius") < s.number("wanted_celsius");
  return fmt::format(
      "{} is at {}, but its plan has wanted {} since {}. It has hardly moved for hours. Change the "
      "thermostat today, or see why the beer does not follow. {}",
      s.beer, s.temperature("temperature_celsius"), s.temperature("wanted_celsius"),
      s.since("hours_since_due"),
      cool ? fmt::format("Left cool, it may slow down or stop early. If you heat it, {}.", kHeaterCutOut)
           : std::string("Left warm, it keeps, but ages sooner.") + kVacuum);
}

std::string temperature_out_of_range(const Subject& s) {
  if (!s.raised()) {
    if (s.has("unknown_hours")) return temperature_unknown(s);
    return fmt::format("{} is within its range again: {}. Nothing to do.", s.beer,
                       s.temperature("temperature_celsius"));
  }
  const bool hot = s.number("temperature_celsius") > s.number("high_celsius");
  return fmt::format(
      "{} has been too {} since {}: it is at {}, and its yeast's range is {}. This is not a short swing. {}",
      s.beer, hot ? "warm" : "cold", s.since("hours_outside"), s.temperature("temperature_celsius"),
      s.has("low_celsius") && s.has("high_celsius")
          ? show_temperature_range(s.number("low_celsius"), s.number("high_celsius"), s.display)
          : s.yeast_range(),
      hot ? std::string("Cool it slowly; today if it is young, when warmth gives harsh flavours.") + kVacuum
          : fmt::format("Warm it slowly within a day, or the yeast may stop early; {}.", kHeaterCutOut));
}

std::string stuck(const Subject& s) {
  if (!s.raised()) {
    return fmt::format(
        "{} is no longer stuck: gravity is {} now. Leave it alone, and do not bottle it before you get the "
        "alert that its final gravity is reached.",
        s.beer, s.gravity("gravity_sg"));
  }
  std::string text =
      fmt::format("{} seems to have stopped at {}: no change since {}, and {} was expected. {}", s.beer,
                  s.gravity("gravity_sg"), s.since("still_hours"), s.gravity("expected_final_sg"),
                  s.number("doubtful") == 1 ? "Measure a sample first: the hydrometer may read high."
                                            : "Confirm with a sample.");
  const double warmest = s.batch.yeast.temperature_high.value;
  const bool cooled = s.has("temperature_fall_celsius");
  if (s.number("temperature_celsius") > warmest - 1) {
    text += fmt::format(" At {} it is warm enough: rouse the yeast", s.temperature("temperature_celsius"));
  } else {
    if (cooled) {
      text += fmt::format(" It has cooled by {}:",
                          show_temperature_change(s.number("temperature_fall_celsius"), s.display));
    }
    text += fmt::format(" {} it slowly to {} ({}) and rouse the yeast", cooled ? "warm" : "Warm",
                        show_temperature(warmest, s.display), kHeaterCutOut);
  }
  return text + ". No change in two days: pitch fresh yeast. Do not bottle it: bottles can burst.";
}

std::string final_gravity_stable(const Subject& s) {
  if (!s.raised()) {
    return fmt::format(
        "{} is moving again, at {}: its final gravity is not reached. Do not package it yet. What is bottled "
        "already can burst: keep it cold in a closed box, and protect eyes and hands when you handle it.",
        s.beer, s.gravity("gravity_sg"));
  }
  const bool band = s.has("final_gravity_low_sg") && s.has("final_gravity_high_sg");
  return fmt::format(
      "{} has reached its final gravity, {}{}: {}{}. Check a sample by hand, then package it when you like. "
      "Use bottles made for pressure: sugar that is left can burst them. Air the cellar before you work in "
      "it, and follow your local rules.",
      s.beer, s.gravity("final_gravity_sg"),
      band ? fmt::format(" (80 %: {} to {})", s.gravity("final_gravity_low_sg", 4),
                         s.gravity("final_gravity_high_sg", 4))
           : "",
      s.has("window_hours") ? fmt::format("no change since {}", s.since("window_hours"))
                            : "it does not change any more",
      s.has("confidence") ? ", " + show_confidence(s.number("confidence")) + " sure" : "");
}

std::string over_attenuated(const Subject& s) {
  if (!s.raised()) {
    return fmt::format(
        "{} is within the expected attenuation again: {}. Check a sample by hand before you bottle it.",
        s.beer, s.percent("attenuation"));
  }
  return fmt::format(
      "{} has gone further than its yeast should: {} attenuated, beyond the usual {}{}. A wild yeast "
      "may be at work, or the hydrometer reads low: taste it and measure a sample, in a day or two. Its end "
      "is not known. Do not bottle it while it falls: that can go on for weeks and burst bottles.",
      s.beer, s.percent("attenuation"), s.percent("expected_high"),
      s.has("gravity_sg") ? fmt::format(" (gravity {})", s.gravity("gravity_sg")) : "");
}

std::string usual_interval(const Subject& s, const char* before) {
  const double usual_minutes = s.number("usual_interval_minutes");
  return std::isfinite(usual_minutes)
             ? fmt::format("{} {}", before,
                           show_interval(from_hours(std::clamp(usual_minutes / 60, 0.0, 1e6))))
             : "";
}

std::string sensor_silent(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("{} in {} is heard again{}. Nothing to do.", s.sensor, s.beer,
                       usual_interval(s, ", usually"));
  }
  if (s.number("sensors_silent") > 1) {
    return fmt::format(
        "Nothing has been heard from any of the {:.0f} sensors in {} since about {}. It is seldom the "
        "sensors "
        "when all stop at once: check the receiver, the network and the power today. Until they are back, "
        "trouble with this beer may go unseen.",
        s.number("sensors_silent"), s.beer, s.since("silent_hours"));
  }
  return fmt::format(
      "Nothing has been heard from {} in {} since {}{}. That is more than a late message. {} Until it is "
      "back, trouble with this beer may go unseen.",
      s.sensor, s.beer, s.since("silent_hours"), usual_interval(s, "; it usually reports"),
      s.has("battery_volt") ? fmt::format("Its battery was nearly empty, at {:.2f} V: charge or change it.",
                                          s.number("battery_volt"))
                            : "Check its battery, its distance to the receiver and the network today.");
}

std::string sensor_frozen(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("{} in {} varies again, and its readings are used again. Nothing to do.", s.sensor,
                       s.beer);
  }
  return fmt::format(
      "{} in {} has shown exactly the same value since {}: it may be stuck or broken. A healthy one always "
      "varies a little. Free it or restart it today: until then its readings are not used, and trouble with "
      "this beer may go unseen.",
      s.sensor, s.beer, s.since("frozen_hours"));
}

std::string sensor_implausible(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("{} in {} makes sense again, and its readings are used again. Nothing to do.",
                       s.sensor, s.beer);
  }
  const double refused = s.number("refused_readings");
  const std::string count = std::isfinite(refused) ? fmt::format(" ({:.0f} {} refused by {})", refused,
                                                                 refused == 1 ? "reading" : "readings",
                                                                 show_time(s.decision.time, s.display))
                                                   : "";
  const double off_h = s.number("clock_off_hours");
  if (std::isfinite(off_h)) {
    return fmt::format(
        "The clock of {} in {} is wrong: {} {}{}. Set it today, or let it send without the time. Until then "
        "its readings are not used, and trouble with this beer may go unseen.",
        s.sensor, s.beer, show_length(from_hours(std::clamp(off_h, -1e7, 1e7))),
        off_h > 0 ? "ahead" : "behind", count);
  }
  return fmt::format(
      "{} in {} reports what cannot be true{}. No beer gives such readings. Check its wire, its calibration "
      "and its clock today: until then trouble with this beer may go unseen.",
      s.sensor, s.beer, count);
}

std::string battery_low(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("The battery of {} in {} is good again. Nothing to do.", s.sensor, s.beer);
  }
  std::string text = fmt::format("The battery of {} in {} is low", s.sensor, s.beer);
  if (s.has("battery_volt")) {
    text += fmt::format(": {:.2f} V on {}", s.number("battery_volt"), show_time(s.decision.time, s.display));
  }
  if (s.has("days_left")) {
    const double left = std::clamp(s.number("days_left"), 0.0, 1e5);
    text += left < 1 ? ", enough for less than a day"
                     : fmt::format(", enough for about {}", show_length(from_hours(24 * left)));
  }
  return text +
         ". Charge or change it when you next open the lid, before it is empty. Once it is silent, "
         "this beer is not watched.";
}

std::string gravity_jumped(const Subject& s) {
  if (!s.raised()) {
    return fmt::format("The jump of {} in {} is cleared up: gravity is {}. Nothing to do.", s.sensor, s.beer,
                       s.gravity("gravity_sg"));
  }
  const double by = s.number("change_points");
  const std::string size =
      std::isfinite(by) ? " by " + show_gravity_change(std::abs(by), s.display) : std::string();
  const std::string jumped = fmt::format("{} in {} jumped {}{} about {}, and beer does not.", s.sensor,
                                         s.beer, by < 0 ? "down" : "up", size, s.moment("jump_time"));
  if (s.number("others_steady") > 0) {
    return jumped +
           fmt::format(
               " Another hydrometer shows nothing of it: this one was probably moved. Gravity is taken as "
               "{}; a sample within two days would confirm that.",
               s.gravity("gravity_sg"));
  }
  return jumped + fmt::format(
                      " Was anything added? Enter it with `gylekeeper addition`. Was it knocked, or is it in "
                      "foam? Measure a sample within two days. Until then gravity is taken as {}, and may be "
                      "wrong.",
                      s.gravity("gravity_sg"));
}

// An alert of any kind, when the re-evaluated batch no longer has it.
std::string taken_back(const Subject& s) {
  return fmt::format("Withdrawn for {}: \"{}\". An entry was corrected, and the batch was re-evaluated. {}",
                     s.beer, alert_phrase(s.decision.kind, Decision::State::raised, s.sensor),
                     s.decision.kind == AlertKind::final_gravity_stable
                         ? "Do not package it: its final gravity is not certain."
                         : "See `gylekeeper explain` for where it stands now.");
}

struct Row {
  AlertKind kind;
  std::string (*sentence)(const Subject&);
};
constexpr std::array<Row, 13> kSentences{{
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
    {AlertKind::gravity_jumped, gravity_jumped},
}};

}  // namespace

std::string alert_sentence(const Decision& decision, const BatchSpec& batch, const DisplaySettings& display) {
  const auto row = std::find_if(kSentences.begin(), kSentences.end(),
                                [&](const Row& r) { return r.kind == decision.kind; });
  if (row == kSentences.end()) return fmt::format("{}: {}.", batch.name, name(decision.kind));
  const auto sentence = find(decision.evidence, "corrected") ? taken_back : row->sentence;
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
