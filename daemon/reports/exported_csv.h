#pragma once

#include <cstdint>
#include <string>

#include "base/time.h"
#include "fermentation/decision.h"
#include "series/reading.h"

namespace gyle {

// Raw readings as they were accepted, as CSV: a header, then a row each, in the order of acceptance.
//   number        of the reading in the journal; grows, with gaps
//   time_utc      of the measurement, RFC 3339
//   received_utc  when its message arrived
//   sensor        its id, never a formula (csv_text)
//   quantity      "gravity", "beer_temperature", ... (series/reading.h)
//   value         as received, in canonical units
//   unit          SG (specific gravity 20/20 degC), deg, Cel or V
//   time_quality  stamped, arrival or backlog: how far time_utc can be trusted
std::string journal_csv_header();
std::string journal_csv_row(std::int64_t number, Time received, const Reading& reading);

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

// The notes of a batch as CSV: a header, then a row each.
//   number    of the note
//   time_utc  what it is about, RFC 3339
//   text      with its line breaks, never a formula (csv_text)
std::string notes_csv_header();
std::string notes_csv_row(std::int64_t number, Time time, const std::string& text);

}  // namespace gyle
