#pragma once

#include <functional>

#include "homie/homie_announcer.h"
#include "mqtt/link.h"

namespace gyle {

// The connection by which the batches are announced to other systems of the house.
//   threads  the loop's; `post` brings there what the link's threads have to say
class HomieLink {
 public:
  using Post = std::function<void(std::function<void()>)>;
  // What is posted refers to this.
  HomieLink(const MqttSettings& mqtt, const HomieSettings& homie, const std::string& password,
            const Clock& clock, Post post);

  Status start();
  void update(const Cellar& cellar, const DisplaySettings& display) { announcer_.update(cellar, display); }
  // Says that the device is gone, if the broker can still be told.
  void stop();

 private:
  HomieAnnouncer announcer_;
  MqttLink link_;
};

}  // namespace gyle
