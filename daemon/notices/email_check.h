#pragma once

#include "notices/endpoint.h"
#include "base/result.h"
#include "notices/channel_settings.h"

namespace gyle {

// The mail server of the settings, with its port (RFC 8314: 465 for smtps; RFC 6409: 587 for smtp).
//   errors  Errc::malformed  server, address or username
//           Errc::missing    no recipient
Result<Endpoint> check_email(const EmailSettings& settings);

}  // namespace gyle
