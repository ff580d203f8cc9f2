#pragma once

#include <string>

#include "alerts/channel.h"

namespace gyle {

class MqttLink;

// Messages of QoS 1 that hold one JSON object: id, time, kind, severity, state, vessel, batch, sensor, title,
// text, evidence.
//   <prefix>/<vessel>/<kind>            about the beer
//   <prefix>/<vessel>/<kind>/<sensor>   about a sensor
// What stands is retained, so that whoever subscribes later sees it. A withdrawal is published unretained,
// then an empty retained message clears the topic. What is no state (a summary, a test, a start of the
// watcher) is not retained.
class MqttChannel final : public Channel {
 public:
  // `link` must outlive this.
  MqttChannel(MqttLink& link, std::string prefix);
  void send(const Notice& notice, std::function<void(Delivered)> done) override;

 private:
  MqttLink& link_;
  std::string prefix_;
};

// Where a notice is published. What a level must not hold (/ + # and control characters) becomes a dash.
std::string alert_topic(const std::string& prefix, const Notice& notice);

}  // namespace gyle
