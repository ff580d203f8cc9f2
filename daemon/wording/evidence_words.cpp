#include "wording/evidence_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "wording/format.h"

namespace gyle {
namespace {

enum class Shown {
  gravity,
  points,
  size_points,
  temperature,
  degrees,
  hours,
  minutes,
  moment,
  percent,
  confidence,
  attenuation,
  small_chance,
  count,
  volt,
  bytes,
  length_days,
  wrong_hours,
  plain
};

struct Row {
  const char* name;
  const char* before;
  Shown as;
  const char* after;
};
constexpr std::array<Row, 55> kRows{{
    {"original_gravity_sg", "original gravity ", Shown::gravity, ""},
    {"gravity_sg", "gravity ", Shown::gravity, ""},
    {"fall_points", "fallen by ", Shown::points, ""},
    {"start_time", "begun at about ", Shown::moment, ""},
    {"hours_since_pitch", "", Shown::hours, " after the pitch"},
    {"temperature_celsius", "beer at ", Shown::temperature, ""},
    {"attenuation", "", Shown::attenuation, ""},
    {"due_time", "due since ", Shown::moment, ""},
    {"wanted_celsius", "wanted ", Shown::temperature, ""},
    {"hours_since_due", "due for ", Shown::hours, ""},
    {"low_celsius", "lowest wanted ", Shown::temperature, ""},
    {"high_celsius", "highest wanted ", Shown::temperature, ""},
    {"hours_outside", "outside for ", Shown::hours, ""},
    {"expected_final_sg", "expected to end at ", Shown::gravity, ""},
    {"still_hours", "not moved for ", Shown::hours, ""},
    {"temperature_fall_celsius", "colder by ", Shown::degrees, ""},
    {"final_gravity_sg", "final gravity ", Shown::gravity, ""},
    {"final_gravity_low_sg", "at least ", Shown::gravity, ""},
    {"final_gravity_high_sg", "at most ", Shown::gravity, ""},
    {"change_points", "changed by ", Shown::points, ""},
    {"change_error_points", "that change known to ± ", Shown::points, ""},
    {"window_hours", "watched over ", Shown::hours, ""},
    {"confidence", "", Shown::confidence, " sure"},
    {"expected_high", "usually ends by ", Shown::percent, ""},
    {"silent_hours", "nothing for ", Shown::hours, ""},
    {"usual_interval_minutes", "usually ", Shown::minutes, ""},
    {"frozen_hours", "unchanged for ", Shown::hours, ""},
    {"value", "showing ", Shown::plain, ""},
    {"refused_readings", "readings refused: ", Shown::count, ""},
    {"battery_volt", "battery at ", Shown::volt, ""},
    {"rate_points_per_day", "", Shown::points, " a day"},
    {"fastest_points_per_day", "at its fastest ", Shown::points, " a day"},
    {"offset_points", "by ", Shown::size_points, ""},
    {"chance_more_than_tolerance_left", "chance that more than the tolerance is still to fall ",
     Shown::small_chance, ""},
    {"known_time", "last known ", Shown::moment, ""},
    {"sure_in_hours", "likely to be sure in about ", Shown::hours, ""},
    {"stopped_time", "stopped ", Shown::moment, ""},
    {"last_alive_time", "last alive ", Shown::moment, ""},
    {"away_hours", "away for ", Shown::hours, ""},
    {"kills_in_a_row", "killed in a row: ", Shown::count, ""},
    {"free_bytes", "free ", Shown::bytes, ""},
    {"needed_bytes", "needed ", Shown::bytes, ""},
    {"database_bytes", "its own database ", Shown::bytes, ""},
    {"difference_points", "apart by ", Shown::size_points, ""},
    {"warmer_celsius", "warmer by ", Shown::degrees, ""},
    {"jump_time", "jumped at about ", Shown::moment, ""},
    {"others_steady", "other hydrometers that show nothing of it: ", Shown::count, ""},
    {"days_left", "lasting ", Shown::length_days, ""},
    {"sensors_silent", "silent sensors: ", Shown::count, ""},
    {"clock_off_hours", "its clock wrong by ", Shown::wrong_hours, ""},
    {"unknown_hours", "not known for ", Shown::hours, ""},
    {"lost_since_time", "lost since ", Shown::moment, ""},
    {"lost_hours", "lost for ", Shown::hours, ""},
    {"jumped_time", "changed ", Shown::moment, ""},
    {"jump_seconds", "clock changed by ", Shown::plain, " s"},
}};

std::string shown(double value, Shown as, const DisplaySettings& display) {
  switch (as) {
    case Shown::gravity:
      return show_gravity(value, display, 4);
    case Shown::points:
      return show_gravity_change(value, display);
    case Shown::size_points:  // its sentence says which way
      return show_gravity_change(std::abs(value), display);
    case Shown::temperature:
      return show_temperature(value, display);
    case Shown::degrees:
      return show_temperature_change(value, display);
    case Shown::hours:
      return show_length(from_hours(std::clamp(value, 0.0, 1e6)));
    case Shown::minutes:
      return show_interval(from_hours(std::clamp(value / 60, 0.0, 1e6)));
    case Shown::moment:
      return show_time(Time(Duration(std::llround(std::clamp(value, 0.0, 2e11) * 1000))), display);
    case Shown::percent:
      return show_percent(value);
    case Shown::confidence:
      return show_confidence(value);
    case Shown::attenuation:
      return show_attenuation(value);
    case Shown::small_chance:
      return value < 0.005 ? "below 1 %" : show_confidence(value);
    case Shown::count:
      return fmt::format("{:.0f}", value);
    case Shown::volt:
      return fmt::format("{:.2f} V", value);
    case Shown::bytes:
      return show_bytes(value);
    case Shown::wrong_hours:
      return show_length(from_hours(std::clamp(value, -1e6, 1e6)));
    case Shown::length_days:
      return show_length(from_hours(std::clamp(value * 24, 0.0, 1e6)));
    case Shown::plain:
      break;
  }
  return fmt::format("{:.4g}", value);
}

}  // namespace

std::string evidence_words(const Evidence& evidence, const DisplaySettings& display) {
  std::string words;
  const auto add = [&words](const std::string& more) { words += (words.empty() ? "" : ", ") + more; };
  for (const auto& [name, value] : evidence) {
    if (!std::isfinite(value)) continue;
    if (name == "never_reached") {
      if (value == 1) add("never reached");
      continue;
    }
    if (name == "doubtful") {
      if (value == 1) add("a hydrometer that reads high would look the same");
      continue;
    }
    const auto row = std::ranges::find(kRows, name, &Row::name);
    if (row == kRows.end()) {
      std::string plain = name;
      std::replace(plain.begin(), plain.end(), '_', ' ');
      add(fmt::format("{} {:.4g}", plain, value));
    } else {
      add(row->before + shown(value, row->as, display) + row->after);
    }
  }
  return words;
}

}  // namespace gyle
