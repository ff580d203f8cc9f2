#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// How a time without a date is completed.
enum class TimeSense {
  past,   // "18:30" is today's, "sat 18:00" the latest before now
  future  // "18:30" and "sat 18:00" are the next ones
};

// Reads a time as people write it, in the time zone `zone` (IANA name):
//   "2026-03-05 18:30"
//   "2026-03-05"               midnight at its start
//   "18:30"
//   "sat 18:00", "Saturday"    English, in full or three letters; without a time, midnight at its start
//   RFC 3339                   independent of `zone`
// A time that occurs twice, when clocks go back, means the earlier one. With a date, `now` and `sense` are
// ignored.
//   errors  Errc::malformed     none of these forms
//           Errc::out_of_range  clocks skip this time
//           Errc::not_found     unknown zone
//           Errc::missing       no date, and `now` is unknown
//           each message shows a valid input
//   tests   unit/clock/local_time_test.cpp
Result<Time> parse_local_time(std::string_view text, std::optional<Time> now, const std::string& zone,
                              TimeSense sense);

// The time at which local clocks in `zone` show `shown` after 1970-01-01 00:00; the earlier of two.
// Errc::out_of_range and Errc::not_found as above.
Result<Time> moment_shown(Duration shown, const std::string& zone);

// IANA name of the time zone: from TZ, else the machine's; "UTC" when neither is known.
std::string machine_time_zone();

}  // namespace gyle
