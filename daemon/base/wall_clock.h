#pragma once

#include <date/tz.h>

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

// "18:30" as minutes since midnight; nothing when it is not a time of day.
std::optional<std::chrono::minutes> read_clock(std::string_view text);

// When local clocks show `local`: the earlier of two moments; where clocks skip it, the moment of the change.
Time moment_of(const date::time_zone& zone, date::local_time<std::chrono::minutes> local);

// What local clocks show at `time`.
date::local_time<std::chrono::minutes> wall_clock(const date::time_zone& zone, Time time);

}  // namespace gyle
