#pragma once

#include <string_view>

#include "base/result.h"

namespace gyle {

// Whether the system's time zone database has a zone of this IANA name, such as "Europe/Zurich".
// Errc::not_found when not; Errc::unavailable when there is no database.
Status check_time_zone(std::string_view name);

}  // namespace gyle
