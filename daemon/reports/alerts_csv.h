#pragma once

#include <string>

#include "fermentation/decision.h"

namespace gyle {

// The alerts of a batch as CSV: a header, then a row each.
//   time_utc     when it was decided, RFC 3339
//   kind         "stuck", "final-gravity-stable", ... (fermentation/decision.h)
//   severity     of RFC 5424: "notice", "warning", ...
//   state        raised or withdrawn
//   hold_number  of the plan, from 1; empty for an alert about no hold
//   sensor       empty for an alert about no sensor
//   text         the words that were sent
//   evidence     the numbers behind it, "name=value" with the unit in the name, separated by semicolons
// No spreadsheet takes texts and names for formulas (csv_text).
std::string alerts_csv_header();
std::string alerts_csv_row(const Decision& decision, const std::string& text);

}  // namespace gyle
