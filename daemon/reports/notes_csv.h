#pragma once

#include <cstdint>
#include <string>

#include "base/time.h"

namespace gyle {

// The notes of a batch as CSV: a header, then a row each.
//   number    of the note
//   time_utc  what it is about, RFC 3339
//   text      with its line breaks, never a formula (csv_text)
std::string notes_csv_header();
std::string notes_csv_row(std::int64_t number, Time time, const std::string& text);

}  // namespace gyle
