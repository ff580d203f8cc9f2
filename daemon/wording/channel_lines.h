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
  std::string trouble;  // what the far end said last, when something waits or was refused
};

// One line for how a channel fares, and one more for what is wrong with it and what to do.
std::vector<std::string> channel_lines(const ChannelState& channel, const DisplaySettings& display);

}  // namespace gyle
