#pragma once

#include <string>

#include "base/time.h"
#include "brewday/day_sheet.h"

namespace gyle {

// A brew day as a calendar to import: an event for every step, with an alarm when it begins. The same day of
// the same recipe has the same UIDs, so that a sheet made anew replaces the old one.
//   made    when this is, for DTSTAMP
//   source  RFC 5545; RFC 7986 for NAME
std::string brew_sheet_calendar(const Recipe& recipe, const DaySheet& sheet, Time start, Time made);

}  // namespace gyle
