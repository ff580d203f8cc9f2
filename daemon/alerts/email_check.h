#pragma once

#include "alerts/far_address.h"
#include "base/result.h"
#include "config/channel_settings.h"

namespace gyle {

// The server that the settings name, with its port (RFC 8314: 465 for smtps; RFC 6409: 587 for smtp).
// Errc::malformed names what is wrong with it or with an address, Errc::missing what is not there.
Result<FarAddress> check_email(const EmailSettings& settings);

}  // namespace gyle
