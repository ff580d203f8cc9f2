#pragma once

#include <vector>

#include "config/toml_reader.h"
#include "notices/channel_settings.h"

namespace gyle {

// The [[channel]] blocks of the configuration; without any, the default channels. Errors are added to
// `problems`.
void read_channels(TomlTable& root, std::vector<ChannelSettings>& channels, TomlProblems& problems);

// "stuck: error". Errc::malformed.
Result<std::pair<std::string, Severity>> parse_kind_severity(std::string_view text);

// A topic to publish to, without wildcards; Errc::malformed.
Result<std::string> checked_topic(std::string_view text);

}  // namespace gyle
