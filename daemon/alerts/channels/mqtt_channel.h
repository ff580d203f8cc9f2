#pragma once

#include <string>

#include "alerts/channel.h"

namespace gyle {

class MqttLink;

// Retained messages of QoS 1, so that whoever subscribes later still sees what stands:
//   <prefix>/<vessel>/<kind>            about the beer
//   <prefix>/<vessel>/<kind>/<sensor>   about a sensor
// The payload is one JSON object: id, time, kind, severity, state, vessel, batch, sensor, text, evidence.
class MqttChannel final : public Channel {
 public:
  // `link` must outlive this.
  MqttChannel(MqttLink& link, std::string prefix);
  std::string name() const override { return "mqtt"; }
  void send(const Notice& notice, std::function<void(Status)> done) override;

 private:
  MqttLink& link_;
  std::string prefix_;
};

// Where a notice is published. What a level must not hold (/ + # and control characters) becomes a dash.
std::string alert_topic(const std::string& prefix, const Notice& notice);

}  // namespace gyle
