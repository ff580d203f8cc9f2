#pragma once

#include "config/settings.h"
#include "verb.h"

namespace gyle {

// The daemon's configuration as far as the tool may read it. Without --config, a file that is missing or not
// ours to read counts as one without a line; a malformed one is an error always.
Result<Settings> tool_settings(const CommonOptions& common);

// As the configuration says; the machine's when there is no configuration for the tool.
Result<std::string> brewers_time_zone(const CommonOptions& common);

// Where the daemon listens.
Result<std::filesystem::path> control_socket(const CommonOptions& common);

}  // namespace gyle
