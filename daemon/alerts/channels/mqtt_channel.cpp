#include "alerts/channels/mqtt_channel.h"

#include <nlohmann/json.hpp>

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
  nlohmann::ordered_json object = {
      {"id", notice.id},
      {"time", format_rfc3339(notice.time)},
      {"kind", name(notice.kind)},
      {"severity", name(notice.severity)},
      {"state", name(notice.state)},
      {"vessel", notice.vessel},
      {"batch", notice.batch},
  };
  if (!notice.sensor.empty()) object["sensor"] = notice.sensor;
  object["text"] = notice.sentence;
  object["evidence"] = nlohmann::ordered_json::parse(notice.evidence_json, nullptr, false);
  return object.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace

std::string alert_topic(const std::string& prefix, const Notice& notice) {
  std::string topic = prefix + "/" + level(notice.vessel) + "/" + gyle::name(notice.kind);
  if (!notice.sensor.empty()) topic += "/" + level(notice.sensor);
  return topic;
}

MqttChannel::MqttChannel(MqttLink& link, std::string prefix) : link_(link), prefix_(std::move(prefix)) {}

void MqttChannel::send(const Notice& notice, std::function<void(Status)> done) {
  link_.publish(alert_topic(prefix_, notice), payload_of(notice), /*retain=*/true, std::move(done));
}

}  // namespace gyle
