#pragma once

#include <optional>
#include <string_view>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// A moment, or a local time.
struct WrittenTime {
  Duration since_1970;
  bool local;  // its offset from UTC is not written
};

// Reads a time by `format`:
//   %Y year  %y of this century  %m month  %d day  %b month by name, English, in three letters or in full
//   %H hour  %I hour of twelve  %p AM or PM  %M minute  %S second, a fraction allowed
//   %z offset from UTC ("+01:00", "+0100", "Z")  %s seconds since 1970, UTC  %% a percent sign
//   "day-number": days since 30 December 1899 as a number, local; of dates from March 1900 on
// One digit is enough where two are usual; a space matches any number of spaces; other characters match
// themselves.
// An empty format: "2026-03-01 18:30", seconds and a T between allowed, or RFC 3339.
//   errors  Errc::malformed, with what was read and what is expected
Result<WrittenTime> read_written_time(std::string_view text, std::string_view format);

// Whether a format has a complete date and time. Errc::malformed names what is wrong with it.
Status check_time_format(std::string_view format);

}  // namespace gyle
