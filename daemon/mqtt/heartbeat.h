#pragma once

#include <string>

#include "base/time.h"

// The watcher's sign of life, a retained JSON object on the heartbeat's topic, by which somebody else can
// notice that it is dead. `state` is
//   "alive"    with `time` (RFC 3339) and `version`: said after every connect, then once in every period. One
//              that is older than a few periods while nothing else came: the watcher hangs
//   "stopped"  with the same: somebody has stopped it
//   "gone"     and nothing else: the last will, published by the broker when the connection was cut, or
//              nothing was heard for three quarters of the keep-alive. When that was is when it arrives; it
//              was written at the connect
namespace gyle::heartbeat {

enum class State { alive, stopped };

std::string payload(State state, Time now);
std::string payload_when_gone();

}  // namespace gyle::heartbeat
