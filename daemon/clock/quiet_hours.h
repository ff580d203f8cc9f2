#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// The hours of the day, by the brewer's clock on the wall, in which only what cannot wait is sent. May reach
// over midnight.
struct QuietHours {
  std::chrono::minutes from{0};  // since local midnight
  std::chrono::minutes until{0};
  bool none() const { return from == until; }
};

// "22:00-07:00"; "" for none. Errc::malformed.
Result<QuietHours> parse_quiet_hours(std::string_view text);
// "07:30", minutes since midnight; Errc::malformed.
Result<std::chrono::minutes> parse_time_of_day(std::string_view text);

// When the quiet ends that holds at `time`; absent when it is not quiet. `zone` is an IANA name, UTC when it
// is not known. On the days on which clocks change, the clock on the wall counts: a night is then an hour
// longer or shorter, and an end that the clocks skip is the first moment after it.
std::optional<Time> quiet_until(const QuietHours& quiet_hours, Time time, const std::string& zone);

// The last moment, not after `time`, at which the clock on the wall showed `of_day`.
Time last_time_of_day(std::chrono::minutes of_day, Time time, const std::string& zone);

}  // namespace gyle
