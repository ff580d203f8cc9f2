#include "homie/homie_announcer.h"

#include <fmt/format.h>

#include <utility>
#include <vector>

#include "homie/homie_device.h"

namespace gyle {
namespace {

std::string root_of(const HomieSettings& settings) {
  return fmt::format("{}/5/{}/", settings.domain, settings.device);
}

}  // namespace

HomieAnnouncer::HomieAnnouncer(const HomieSettings& settings, Publish publish)
    : root_(root_of(settings)), publish_(std::move(publish)) {}

void HomieAnnouncer::connected() {
  connected_ = true;
  description_.clear();
}

void HomieAnnouncer::publish(const std::string& below, const std::string& payload) {
  publish_(root_ + below, payload);
}

void HomieAnnouncer::update(const Cellar& cellar, const DisplaySettings& display) {
  if (!connected_) return;
  std::vector<BatchRecord> batches;
  for (BatchRecord& batch : cellar.open_batches()) {
    if (batch.unreadable.empty()) batches.push_back(std::move(batch));
  }
  std::map<std::string, std::string> values = homie_values(batches, display);
  for (const BatchRecord& batch : batches) {
    if (const auto alerts = cellar.alerts(batch.id)) values.merge(homie_alerts(batch, alerts.value()));
  }
  const std::string description = homie_description(batches, display);
  const bool changed = description != description_;
  const bool first = description_.empty();
  if (changed) publish("$state", "init");
  for (const auto& [below, value] : published_) {
    if (values.count(below) == 0) publish(below, "");  // an empty retained message clears the topic
  }
  if (changed) publish("$description", description);
  for (const auto& [below, value] : values) {
    const auto before = published_.find(below);
    if (first || before == published_.end() || before->second != value) publish(below, value);
  }
  if (changed) publish("$state", "ready");
  published_ = std::move(values);
  description_ = description;
}

MqttSettings homie_connection(MqttSettings mqtt, const HomieSettings& settings) {
  mqtt.client_id += "-homie";
  mqtt.session_expiry = Duration(0);
  mqtt.heartbeat_topic = root_of(settings) + "$state";
  return mqtt;
}

SignsOfLife homie_signs() { return {"init", "disconnected", "lost"}; }

}  // namespace gyle
