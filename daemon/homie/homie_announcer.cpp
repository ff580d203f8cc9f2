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

void HomieAnnouncer::say(const std::string& below, const std::string& payload) {
  publish_(root_ + below, payload);
}

void HomieAnnouncer::update(const Cellar& cellar, const DisplaySettings& display) {
  if (!connected_) return;
  std::vector<BatchRecord> batches;
  for (BatchRecord& batch : cellar.batches()) {
    if (!batch.packaged && batch.unreadable.empty()) batches.push_back(std::move(batch));
  }
  std::map<std::string, std::string> values = homie_values(batches, display);
  for (const BatchRecord& batch : batches) {
    if (const auto told = cellar.alerts(batch.id)) values.merge(homie_alerts(batch, told.value()));
  }
  const std::string description = homie_description(batches, display);
  const bool anew = description != description_;
  const bool first = description_.empty();
  if (anew) say("$state", "init");
  for (const auto& [below, value] : said_) {
    if (values.count(below) == 0) say(below, "");  // an empty retained message takes it back
  }
  if (anew) say("$description", description);
  for (const auto& [below, value] : values) {
    const auto before = said_.find(below);
    if (first || before == said_.end() || before->second != value) say(below, value);
  }
  if (anew) say("$state", "ready");
  said_ = std::move(values);
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
