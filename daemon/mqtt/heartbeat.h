#pragma once

#include <string>

#include "base/time.h"

// The daemon's sign of life, a retained JSON object on the heartbeat's topic, so that other systems can
// notice when it is dead. `state` is
//   "alive"    with `time` (RFC 3339) and `version`: published after every connect, then once in every
//              period. When the last one is older than a few periods, the daemon hangs
//   "stopped"  with the same: it was stopped on purpose
//   "gone"     and nothing else: the last will, published by the broker when the connection was cut, or
//              nothing was heard for three quarters of the keep-alive. It carries no time: it was written at
//              the connect, and its arrival is when the daemon went
namespace gyle::heartbeat {

enum class State { alive, stopped };

std::string payload(State state, Time now);
std::string payload_when_gone();

}  // namespace gyle::heartbeat
