#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// Reads an RFC 3339 date-time. The offset is required; T and Z may be lower case; any number of fraction
// digits, cut to milliseconds; a leap second (:60) is read as the first second of the next minute. The space
// that some write in place of T is refused. Anything else: Errc::malformed.
Result<Time> parse_rfc3339(std::string_view text);

// "2026-03-01T18:30:00Z"; with a fraction of three digits only when there is one. Years 0000 to 9999.
std::string format_rfc3339(Time time);

}  // namespace gyle
