#include "mqtt/heartbeat.h"

#include <fmt/format.h>

#include "base/rfc3339.h"

namespace gyle::heartbeat {

std::string payload(State state, Time now) {
  return fmt::format(R"({{"state":"{}","time":"{}","version":"{}"}})",
                     state == State::alive ? "alive" : "stopped", format_rfc3339(now), GYLE_VERSION);
}

std::string payload_when_gone() { return R"({"state":"gone"})"; }

}  // namespace gyle::heartbeat
