#pragma once

#include <functional>

#include "homie/homie_announcer.h"
#include "mqtt/link.h"

namespace gyle {

// The connection by which the batches are announced to a home automation system.
//   threads  the loop's; `post` carries the events of the link's threads to it
class HomieLink {
 public:
  using Post = std::function<void(std::function<void()>)>;
  // What is posted refers to this.
  HomieLink(const MqttSettings& mqtt, const HomieSettings& homie, const std::string& password,
            const Clock& clock, Post post);

  Status start();
  void update(const Cellar& cellar, const DisplaySettings& display) { announcer_.update(cellar, display); }
  // Announces that the device is gone, if there is a connection to the broker.
  void stop();

 private:
  HomieAnnouncer announcer_;
  MqttLink link_;
};

}  // namespace gyle
