#pragma once

#include <string>
#include <string_view>

#include "base/time.h"

namespace gyle {

// The text of an iCalendar file: RFC 5545.

// Appends a content line, folded after 75 octets at most and where a character ends (section 3.1).
void add_calendar_line(std::string& out, std::string_view line);

// Anything at all as a TEXT (section 3.3.11): lines stay, other control characters become question marks.
std::string calendar_escaped(std::string_view text);

// "20260305T063000Z", to the second (section 3.3.5).
std::string calendar_time(Time time);

}  // namespace gyle
