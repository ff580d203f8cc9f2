#pragma once

#include <vector>

#include "alerts/delivery.h"
#include "notices/channel_settings.h"

namespace gyle {

class MqttLink;

// The configured channels, with their secrets read. `link` and `clock` (the machine's) must outlive
// them. Fails with a sentence that names the channel when a secret cannot be read, or a template is wrong.
Result<std::vector<NamedChannel>> make_channels(const std::vector<ChannelSettings>& channels,
                                                const DisplaySettings& display, MqttLink& link,
                                                const Clock& clock);

// Whether make_channels() would succeed.
Status check_channels(const std::vector<ChannelSettings>& channels, const Clock& clock);

// "webhook", ...
const char* kind_of(const ChannelSettings& channel);

}  // namespace gyle
