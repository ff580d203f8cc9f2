#pragma once

#include <string>

#include "base/time.h"

namespace gyle {

// One MQTT message as the shell received it.
struct Message {
  std::string topic;
  std::string payload;
  Time received;          // by the daemon's clock
  bool retained = false;  // stored by the broker before we subscribed: not fresh
  bool backlog = false;   // came in a burst after an outage: `received` says nothing about when it was sent
};

}  // namespace gyle
