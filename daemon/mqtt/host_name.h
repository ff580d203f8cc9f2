#pragma once

#include <optional>
#include <string>

#include "base/result.h"

namespace gyle {

// The host of mqtt://HOST[:PORT] or mqtts://HOST[:PORT], if it is a name and not an address.
std::optional<std::string> host_name_of(const std::string& broker);

// Whether that name can be resolved now. Asks the system's resolver, and may wait for the network: not for the
// daemon's loop. Errc::unavailable says which name, and that it is unknown.
Status check_host_known(const std::string& broker);

}  // namespace gyle
