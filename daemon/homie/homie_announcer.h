#pragma once

#include <functional>
#include <map>
#include <string>

#include "config/homie_settings.h"
#include "control/cellar.h"
#include "mqtt/link.h"
#include "wording/display.h"

namespace gyle {

// Announces the batches to other systems of the house by the Homie convention, version 5
// (homie/homie_device.h). A device's $state is the last will of its connection, and the daemon's own
// connection has the heartbeat's: the device has one of its own.
//   state   "init" after a connect and while the description changes, "ready" when everything is there,
//           "disconnected" at the end, "lost" by the last will
//   leaves  nodes of batches that have left their vessels are taken back, while the daemon runs; what an
//           earlier run has announced, and nobody describes any more, stays retained at the broker
//   threads one
class HomieAnnouncer {
 public:
  using Publish = std::function<void(std::string topic, std::string payload)>;  // retained
  HomieAnnouncer(const HomieSettings& settings, Publish publish);

  // Nothing is published from `lost` to `connected`, which lets everything be published again.
  void connected();
  void lost() { connected_ = false; }
  void update(const Cellar& cellar, const DisplaySettings& display);

 private:
  void say(const std::string& below, const std::string& payload);

  std::string root_;  // "homie/5/gylekeeper/"
  Publish publish_;
  bool connected_ = false;
  std::string description_;
  std::map<std::string, std::string> said_;
};

// Settings and signs for the connection of the device: its session ends with it, its $state is the last will.
MqttSettings homie_connection(MqttSettings mqtt, const HomieSettings& settings);
SignsOfLife homie_signs();

}  // namespace gyle
