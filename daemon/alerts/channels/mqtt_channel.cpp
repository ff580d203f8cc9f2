#include "alerts/channels/mqtt_channel.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <string_view>

#include "base/rfc3339.h"
#include "mqtt/link.h"

namespace gyle {
namespace {

std::string level(std::string text) {
  for (char& c : text) {
    if (c == '/' || c == '+' || c == '#' || static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '-';
  }
  return text.empty() ? "-" : text;
}

std::string payload_of(const Notice& notice) {
  using Json = nlohmann::ordered_json;
  Json object = {
      {"id", notice.id},       {"time", format_rfc3339(notice.time)},
      {"kind", notice.kind},   {"severity", name(notice.severity)},
      {"state", notice.state}, {"vessel", notice.vessel},
      {"batch", notice.batch},
  };
  if (!notice.sensor.empty()) object["sensor"] = notice.sensor;
  object["title"] = notice.title;
  object["text"] = notice.text;
  Json evidence = Json::parse(notice.evidence_json, nullptr, /*allow_exceptions=*/false);
  if (!evidence.is_discarded()) object["evidence"] = std::move(evidence);
  return object.dump(-1, ' ', false, Json::error_handler_t::replace);
}

// A state lasts until it is withdrawn; an event has no end.
bool is_state(const Notice& notice) {
  constexpr std::array<std::string_view, 6> kEvents{
      "summary", "digest", "test", "watcher-started", "watcher-restarted", "clock-jumped"};
  return std::find(kEvents.begin(), kEvents.end(), notice.kind) == kEvents.end();
}

Delivered delivered(const Status& status) {
  if (status) return {Delivered::Outcome::arrived, "accepted by the broker", std::nullopt};
  const bool refused = status.error().code == Errc::refused;
  return {refused ? Delivered::Outcome::refused : Delivered::Outcome::later, status.error().message,
          std::nullopt};
}

}  // namespace

std::string alert_topic(const std::string& prefix, const Notice& notice) {
  std::string topic = prefix + "/" + level(notice.vessel) + "/" + level(notice.kind);
  if (!notice.sensor.empty()) topic += "/" + level(notice.sensor);
  return topic;
}

MqttChannel::MqttChannel(MqttLink& link, std::string prefix) : link_(link), prefix_(std::move(prefix)) {}

void MqttChannel::send(const Notice& notice, std::function<void(Delivered)> done) {
  const std::string topic = alert_topic(prefix_, notice);
  if (notice.state != "withdrawn") {
    link_.publish(topic, payload_of(notice), is_state(notice),
                  [done](const Status& status) { done(delivered(status)); });
    return;
  }
  link_.publish(topic, payload_of(notice), /*retained=*/false,
                [link = &link_, topic, done](const Status& status) {
                  if (!status) return done(delivered(status));
                  link->publish(topic, "", /*retained=*/true,
                                [done](const Status& cleared) { done(delivered(cleared)); });
                });
}

}  // namespace gyle
