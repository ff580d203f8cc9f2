#include "wording/channel_lines.h"

#include <fmt/format.h>

#include "wording/format.h"

namespace gyle {

std::vector<std::string> channel_lines(const ChannelState& channel, const DisplaySettings& display) {
  std::string line = fmt::format("{} ({}): ", channel.name, channel.kind);
  line += channel.delivered_last ? "last delivered " + show_time(*channel.delivered_last, display)
                                 : std::string("nothing delivered yet");
  if (channel.waiting > 0) line += fmt::format(", {} waiting", channel.waiting);
  if (channel.refused > 0) line += fmt::format(", {} refused", channel.refused);
  std::vector<std::string> lines{std::move(line)};
  if (!channel.trouble.empty()) lines.push_back("  " + channel.trouble);
  if (channel.refused > 0) {
    lines.push_back(fmt::format("  once that is fixed: gylekeeper channels --retry {}", channel.name));
  }
  return lines;
}

}  // namespace gyle
