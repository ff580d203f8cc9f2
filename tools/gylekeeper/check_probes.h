#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"
#include "broker_settings.h"
#include "config/page_settings.h"
#include "notices/channel_settings.h"
#include "wording/check_lines.h"

namespace gyle {

// What `gylekeeper check` finds out over the network, with bounded patience; the rules are in wording/check_lines.h.

struct BrokerProbe {
  BrokerFacts facts;              // as a guest: nothing of how long the session is kept
  std::optional<EchoFacts> echo;  // absent: there was no connection
};
// Connects, and sends a message to itself below gylekeeper/check/; nothing stays at the broker. At most 10 s.
BrokerProbe probe_broker(const BrokerSettings& broker);

// Connects to the server of a channel, with TLS and login where they are configured, and sends nothing. false:
// the channel has no server of its own. Errc::unavailable: why not. At most 10 s.
Result<bool> reach_server(const ChannelSettings& channel);

// Asks for the page and looks at its certificate. At most 10 s.
PageFacts probe_page(const PageSettings& page);

}  // namespace gyle
