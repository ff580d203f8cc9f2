#pragma once

#include <cstdint>
#include <string>

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

}  // namespace gyle
