#include "wording/sensor_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "wording/calibration_lines.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr double kFewArrive = 0.9;            // of the messages: fewer are reported
constexpr double kFarDays = 60;               // no forecast beyond that
constexpr Duration kOldValue = hours(1);      // before the sensor was last heard
constexpr Duration kRecentRefusal = days(1);  // older ones may be repaired

std::string joined(const std::vector<std::string>& parts, const char* between) {
  return fmt::format("{}", fmt::join(parts, between));
}

std::optional<Time> last_heard(const SensorStory& story, Time now) {
  if (story.health && story.health->last_heard) return story.health->last_heard;
  std::optional<Time> last;
  for (const Reading& reading : story.newest) {
    if (reading.time <= now) last = std::max(last.value_or(reading.time), reading.time);
  }
  return last;
}

std::string shown(const Reading& reading, const DisplaySettings& display) {
  switch (reading.quantity) {
    case Quantity::gravity:
    case Quantity::sample:
      return "gravity " + show_gravity(reading.value, display, 4);
    case Quantity::inclination:
      return "inclination " + show_inclination(reading.value);
    case Quantity::beer_temperature:
      return "beer " + show_temperature(reading.value, display);
    case Quantity::ambient_temperature:
      return "ambient " + show_temperature(reading.value, display);
    case Quantity::battery:
      return fmt::format("battery {:.2f} V", reading.value);
  }
  return "";
}

std::string battery_left(const Interval& days) {
  const auto length = [](double d) { return show_length(from_hours(24 * std::clamp(d, 0.0, 1e4))); };
  if (days.low > kFarDays) return fmt::format(", more than {:.0f} days left", kFarDays);
  if (days.value < 1.0 / 24) return ", as good as empty";
  const std::string about = length(days.value), least = length(days.low);
  if (about == least) return fmt::format(", about {} left", about);
  return fmt::format(", about {} left (at least {}) if it falls on like this", about, least);
}

// The gravity of a value by its calibration.
std::string calibrated(const Reading& reading, const CalibrationCurve& curve,
                       const DisplaySettings& display) {
  if (reading.quantity == Quantity::gravity) return " (its own, not used)";
  if (reading.quantity != Quantity::inclination) return "";
  if (const auto gravity = curve.gravity(reading.value)) {
    return fmt::format(" (gravity {} by its calibration)", show_gravity(gravity->value(), display, 4));
  }
  return fmt::format(" (outside its calibration, {} to {}: no gravity)",
                     show_inclination(curve.least_inclination), show_inclination(curve.most_inclination));
}

std::string values(const SensorStory& story, std::optional<Time> heard, const DisplaySettings& display,
                   Time now) {
  const bool sends_gravity = std::any_of(story.newest.begin(), story.newest.end(), [](const Reading& one) {
    return one.quantity == Quantity::gravity;
  });
  std::vector<std::string> parts;
  for (const Reading& reading : story.newest) {
    if (!std::isfinite(reading.value)) continue;
    std::string part = shown(reading, display);
    if (story.curve) part += calibrated(reading, *story.curve, display);
    if (reading.quantity == Quantity::inclination && !story.curve && !sends_gravity) {
      part += " (means no gravity before it is calibrated)";
    }
    if (reading.quantity == Quantity::battery && story.health && story.health->battery_days) {
      part += battery_left(*story.health->battery_days);
    }
    if (heard && reading.time < *heard - kOldValue)
      part += fmt::format(" ({})", show_time_from(reading.time, display, now));
    parts.push_back(std::move(part));
  }
  return joined(parts, ", ");
}

std::vector<std::string> troubles(const SensorStory& story, const DisplaySettings& display, Time now) {
  std::vector<std::string> all;
  if (story.health) {
    const SensorHealth& health = *story.health;
    if (health.silent) all.emplace_back("silent");
    if (health.frozen) all.emplace_back("shows the same gravity all the time");
    if (health.clock_off) {
      all.push_back(fmt::format("its clock is {} {}", show_length(std::chrono::abs(*health.clock_off)),
                                *health.clock_off > Duration(0) ? "ahead" : "behind"));
    } else if (health.implausible) {
      all.emplace_back("reports what cannot be true");
    }
    if (health.battery_low) all.emplace_back("charge or change its battery");
    if (health.arrived_share && *health.arrived_share < kFewArrive && !health.silent) {
      std::string part =
          fmt::format("of its messages {} arrived over the last day", show_percent(*health.arrived_share));
      if (health.longest_gap) part += ", the longest gap " + show_length(*health.longest_gap);
      all.push_back(std::move(part));
    }
  }
  if (story.refused && now - story.refused->received < kRecentRefusal) {
    all.push_back(fmt::format("refused {}: {}", show_time_from(story.refused->received, display, now),
                              story.refused->detail));
  }
  return all;
}

std::string where(const SensorStory& story) {
  if (story.vessel.empty()) return " in no vessel";
  if (story.batch.empty()) return fmt::format(" in {}, which holds no batch", story.vessel);
  return fmt::format(" in {} ({})", story.vessel, story.batch);
}

}  // namespace

std::vector<std::string> sensor_lines(const SensorStory& story, const DisplaySettings& display, Time now) {
  const auto heard = last_heard(story, now);
  std::string title = story.sensor + where(story);
  if (heard) title += fmt::format(": heard {} ago", show_length(std::max(Duration{}, now - *heard)));
  if (!heard) title += ": not heard yet";
  if (story.health && story.health->usual_interval) {
    title += fmt::format(", usually {}", show_interval(*story.health->usual_interval));
  }
  std::vector<std::string> lines{title};
  for (const std::string& more :
       {values(story, heard, display, now), joined(troubles(story, display, now), "; ")}) {
    if (!more.empty()) lines.push_back("  " + more);
  }
  for (std::string& line : lines) line = displayable(line, line.size());
  return lines;
}

}  // namespace gyle
