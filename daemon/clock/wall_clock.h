#pragma once

#include <date/tz.h>

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

// "18:30" as minutes since midnight; nothing when it is no time of day.
std::optional<std::chrono::minutes> read_clock(std::string_view text);

// When the clock on the wall shows `local`: of two such moments the earlier, and where clocks are put forward
// past it the moment at which they are.
Time moment_of(const date::time_zone& zone, date::local_time<std::chrono::minutes> local);

// What it shows at `time`.
date::local_time<std::chrono::minutes> wall_clock(const date::time_zone& zone, Time time);

}  // namespace gyle
