#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "config/settings.h"

namespace gyle {

// Checks of a valid configuration that only this machine can make. Each line: "FILE:LINE: KEY: what is
// wrong".
struct ConfigurationCheck {
  std::vector<std::string> problems;
  std::vector<std::string> notes;  // what could not be checked from here
};

enum class CheckDepth {
  needed,  // without which the service does not run: the broker's password, the channels and their secrets
  all  // also the page, certificates, folders, and that the broker's name resolves: may wait for the network
};

//   settings  as parse_settings() read them from `text`, the content of `file`
// A relative file name is one of systemd's credentials; outside of the unit it is noted when it is not there.
// Folders that the unit makes itself are not missed.
ConfigurationCheck check_configuration(const Settings& settings, std::string_view text,
                                       const std::string& file, CheckDepth depth);

}  // namespace gyle
