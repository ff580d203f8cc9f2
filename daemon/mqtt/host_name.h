#pragma once

#include <string>

#include "base/result.h"

namespace gyle {

// Whether the host of mqtt://HOST[:PORT] or mqtts://HOST[:PORT] can be resolved now. Asks the system's
// resolver, and may wait for the network: not for the daemon's loop. Errc::unavailable says which name.
Status check_host_known(const std::string& broker);

}  // namespace gyle
