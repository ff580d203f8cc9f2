#pragma once

#include <string>

#include "base/result.h"
#include "control_answers.h"
#include "control_client.h"

namespace gyle {

// A test sent through a channel, and what came of it.
struct ChannelTrial {
  FateAnswer fate;
  std::string body;  // the daemon's answer with that fate

  bool delivered() const { return fate.outcome == "delivered"; }
  bool failed() const { return !delivered() && (fate.outcome != "waiting" || fate.attempts > 0); }
  // Why it did not arrive, a sentence; empty when it did.
  std::string trouble() const;
};

// Waits until it has arrived, has failed, or 75 s are over: then neither.
Result<ChannelTrial> try_channel(const ControlClient& daemon, const std::string& channel);

}  // namespace gyle
