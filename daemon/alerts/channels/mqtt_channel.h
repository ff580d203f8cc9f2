#pragma once

#include <string>

#include "alerts/channels/channel.h"

namespace gyle {

class MqttLink;

// Messages of QoS 1 with one JSON object: id, time, kind, severity, state, vessel, batch, sensor, title,
// text, evidence.
//   <prefix>/<vessel>/<kind>            about the beer
//   <prefix>/<vessel>/<kind>/<sensor>   about a sensor
// Open alerts are retained, so that later subscribers see them. A withdrawal is published without retain,
// then an empty retained message clears the topic. Events (a summary, a test, a start of the daemon) are not
// retained.
class MqttChannel final : public Channel {
 public:
  // `link` must outlive this.
  MqttChannel(MqttLink& link, std::string prefix);
  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  MqttLink& link_;
  std::string prefix_;
};

// The topic of a notice. Characters that a level cannot hold (/ + # and control characters) become dashes.
std::string alert_topic(const std::string& prefix, const Notice& notice);

}  // namespace gyle
