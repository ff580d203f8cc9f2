#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/time.h"
#include "reports/day_sheet.h"
#include "reports/plan_facts.h"

namespace gyle {

// A brew day as a page of HTML: the numbers, the ingredients, the steps with their times and a place to write
// what was measured. One sheet of A4 or Letter when printed, up to some 20 steps; everything is in the file.
// Names may hold any bytes.
//   start   with it the steps have clock times, else the time since the start
std::string brew_sheet_html(const Recipe& recipe, const BrewPlan& plan, const DaySheet& sheet,
                            std::optional<Time> start, const DisplaySettings& display,
                            std::string_view version);

}  // namespace gyle
