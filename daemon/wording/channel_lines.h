#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "wording/display.h"

namespace gyle {

struct ChannelState {
  std::string name;
  std::string kind;
  std::int64_t waiting = 0;
  std::int64_t refused = 0;
  std::optional<Time> delivered_last;
  std::string trouble;  // the last answer of the destination, when something waits or was refused
};

// One line with the delivery status of a channel, and one more with what is wrong and what to do.
std::vector<std::string> channel_lines(const ChannelState& channel, const DisplaySettings& display);

}  // namespace gyle
