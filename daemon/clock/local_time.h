#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// Which one is meant of the days that a text fits.
enum class TimeSense {
  past,   // of what has happened: "18:30" is today's, "sat 18:00" the last there was
  future  // of what is to come: "18:30" and "sat 18:00" are the next to come
};

// Reads a moment as a person writes it in the time zone `zone` (IANA name):
//   "2026-03-05 18:30"
//   "2026-03-05"               its midnight, with which it begins
//   "18:30"
//   "sat 18:00", "Saturday"    the latter its midnight; English, in full or three letters
// or, whatever the zone, as RFC 3339. Of a time that comes twice, when clocks are put back, the earlier is
// meant. Whether a moment lies before or after `now` is not looked at where the day is written.
//   errors  Errc::malformed: none of these; Errc::out_of_range: clocks are put forward past this time, it
//           does not exist; Errc::not_found: no such zone; Errc::missing: the day is not written, and `now`
//           is not known. All say what would be right.
Result<Time> parse_local_time(std::string_view text, std::optional<Time> now, const std::string& zone,
                              TimeSense sense);

// The moment at which a clock on the wall in `zone` shows so long after 1970-01-01 00:00; of two the earlier.
// Errc::out_of_range and not_found as above.
Result<Time> moment_shown(Duration shown, const std::string& zone);

// The IANA name of the time zone that TZ names, else of this machine's; "UTC" when neither is known.
std::string machine_time_zone();

}  // namespace gyle
