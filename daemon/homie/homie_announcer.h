#pragma once

#include <functional>
#include <map>
#include <string>

#include "config/homie_settings.h"
#include "control/cellar.h"
#include "mqtt/link.h"
#include "wording/display.h"

namespace gyle {

// Publishes the batches for home automation by the Homie convention, version 5 (homie/homie_device.h). The
// device needs a connection of its own: its $state is the connection's last will, and the daemon's connection
// has the heartbeat as last will.
//   state    "init" after connecting and while the description changes, "ready" when everything is published,
//            "disconnected" at the end, "lost" by the last will
//   removal  topics of a batch are cleared when it leaves its vessel while the daemon runs; those of an
//            earlier run stay retained at the broker
//   threads  one
//   tests    unit/homie/homie_announcer_test.cpp
class HomieAnnouncer {
 public:
  using Publish = std::function<void(std::string topic, std::string payload)>;  // retained
  HomieAnnouncer(const HomieSettings& settings, Publish publish);

  // Nothing is published between lost() and connected(); after that everything is published again.
  void connected();
  void lost() { connected_ = false; }
  void update(const Cellar& cellar, const DisplaySettings& display);

 private:
  void publish(const std::string& below, const std::string& payload);

  std::string root_;  // "homie/5/gylekeeper/"
  Publish publish_;
  bool connected_ = false;
  std::string description_;
  std::map<std::string, std::string> published_;
};

// Connection of the device: the session ends with it, and $state is its last will.
MqttSettings homie_connection(MqttSettings mqtt, const HomieSettings& settings);
SignsOfLife homie_signs();

}  // namespace gyle
