#pragma once

#include <string>

#include "base/time.h"
#include "mqtt/link.h"
#include "wording/check_lines.h"

namespace gyle {

// What is known of the connection to the broker. Pure: `now` is of the machine's clock.
//   tests   unit/app/broker_state_test.cpp
class BrokerState {
 public:
  void take(const LinkEvent& event, Time now);
  // A message came that had waited at the broker.
  void backlog(Time now);

  bool connected() const { return connected_; }

  // Whether there is a connection, and what had waited has come. Before that, time must not go on: a silent sensor and a
  // message under way look alike.
  bool caught_up(Time now) const { return connected_ && now >= busy_until_; }

  // `expiry_wanted`: how long the broker was asked to keep the session.
  BrokerFacts facts(Duration expiry_wanted) const;

 private:
  bool connected_ = false;
  BrokerLimits limits_;                                     // of the connection
  std::string trouble_ = "The broker was not reached yet";  // why there is none
  Time busy_until_{};
};

}  // namespace gyle
