#include "message_lines.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "base/text.h"
#include "ingest/decoder.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kMostProposals = 1000;

std::string shown(const Reading& reading, const DisplaySettings& display) {
  switch (reading.quantity) {
    case Quantity::gravity:
      return "gravity " + show_gravity(reading.value, display, 4);
    case Quantity::sample:
      return "sample " + show_gravity(reading.value, display, 4);
    case Quantity::inclination:
      return fmt::format("inclination {:.1f}°", reading.value);
    case Quantity::beer_temperature:
      return "beer " + show_temperature(reading.value, display);
    case Quantity::ambient_temperature:
      return "ambient " + show_temperature(reading.value, display);
    case Quantity::battery:
      return fmt::format("battery {:.2f} V", reading.value);
  }
  return "";
}

// One line for each sensor and time of measurement.
std::string readings_lines(const Message& message, std::span<const Reading> readings,
                           const DisplaySettings& display) {
  std::string lines;
  const Reading* last = nullptr;
  for (const Reading& reading : readings) {
    if (last != nullptr && last->sensor == reading.sensor && last->time == reading.time) {
      lines += ", ";
    } else {
      lines += fmt::format("{}    {}: ", last == nullptr ? "" : "\n",
                           displayable(reading.sensor, reading.sensor.size()));
      if (std::chrono::abs(reading.time - message.received) >= minutes(1)) {
        lines += fmt::format("(measured {}) ", show_time(reading.time, display));
      }
    }
    lines += shown(reading, display);
    last = &reading;
  }
  return last == nullptr ? lines : lines + "\n";
}

}  // namespace

std::string MessageLines::of(const Message& message) {
  const Decoded decoded = decode(message, sources_);
  std::string lines =
      fmt::format("{}  {}{}\n", show_time(message.received, display_),
                  displayable(message.topic, message.topic.size()), message.retained ? "  (retained)" : "");
  lines += readings_lines(message, decoded.readings, display_);
  bool unmapped = false;
  for (const Refusal& refusal : decoded.refusals) {
    lines += fmt::format("    refused ({}): {}\n", name(refusal.reason),
                         displayable(refusal.detail, refusal.detail.size()));
    if (!refusal.head.empty()) lines += fmt::format("    it begins: {}\n", displayable(refusal.head));
    unmapped = unmapped || refusal.reason == RefusalReason::unmapped;
  }
  if (decoded.readings.empty() && decoded.refusals.empty()) lines += "    holds no reading\n";
  if (!unmapped || proposed_.size() >= kMostProposals || proposed_.contains(message.topic)) return lines;
  const std::string block = propose_source(message);
  if (block.empty()) return lines;
  proposed_.insert(message.topic);
  return lines + "    To read it, put this into the configuration:\n\n" + block + "\n";
}

std::string message_json(const Message& message, std::span<const Source> sources) {
  using Json = nlohmann::ordered_json;
  const Decoded decoded = decode(message, sources);
  Json readings = Json::array(), refusals = Json::array();
  for (const Reading& one : decoded.readings) {
    readings.push_back({{"sensor", one.sensor},
                        {"time", format_rfc3339(one.time)},
                        {"quantity", name(one.quantity)},
                        {"value", one.value}});
  }
  for (const Refusal& one : decoded.refusals) {
    refusals.push_back({{"reason", name(one.reason)}, {"detail", one.detail}});
  }
  const Json json{{"topic", message.topic},
                  {"received", format_rfc3339(message.received)},
                  {"retained", message.retained},
                  {"readings", std::move(readings)},
                  {"refusals", std::move(refusals)}};
  return json.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace gyle
