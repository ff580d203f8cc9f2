#pragma once

#include <string>

#include "base/time.h"
#include "reports/day_sheet.h"

namespace gyle {

// A brew day as a calendar to import: an event for every step, with an alarm when it begins. The
// day of a recipe has the same UIDs whenever the sheet is made and whatever its start, and a higher SEQUENCE
// (minutes of `made`), so that a new sheet replaces the old one.
//   source  RFC 5545; RFC 7986 for NAME
std::string brew_sheet_calendar(const Recipe& recipe, const DaySheet& sheet, Time start, Time made);

}  // namespace gyle
