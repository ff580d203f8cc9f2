#pragma once

#include <cstdint>
#include <string>

#include "base/time.h"

namespace gyle {

// What the brewer wrote, as CSV: a header, then a row each.
//   number    of the note
//   time_utc  that it is about, RFC 3339
//   text      with its line breaks, safe from spreadsheets (csv_text)
std::string notes_csv_header();
std::string notes_csv_row(std::int64_t number, Time time, const std::string& text);

}  // namespace gyle
