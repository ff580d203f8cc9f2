#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "replay/csv_records.h"
#include "series/reading.h"

namespace gyle {

// How somebody else's CSV says what ours says.
struct CsvMapping {
  char separator = ',';
  bool decimal_comma = false;
  std::string time_column;
  // How a time is written (replay/written_time.h); empty: "2026-03-01 18:30", with or without seconds, with a
  // space or a T between, or RFC 3339.
  std::string time_format;
  std::string gravity_column;
  bool gravity_in_plato = false;
  std::string temperature_column;  // of the beer; empty: none
  std::string ambient_column;      // likewise, of the room
  bool fahrenheit = false;         // both
};

// The moment at which the clock on the wall shows so long after 1970-01-01 00:00. Errors: it never shows
// that.
using WallClock = std::function<Result<Time>(Duration)>;

struct RejectedRow {
  std::size_t line;
  std::string why;
};

struct MappedReadings {
  std::vector<Reading> readings;  // in order of time
  std::size_t rows = 0;           // below the header, empty lines left out
  std::size_t used = 0;           // of them, that gave a gravity
  std::vector<RejectedRow> rejected;
};

// Reads recorded gravities and temperatures from CSV with a header. A row without a plausible gravity or a
// time is rejected, with its line and why; a temperature that is not there or not plausible is left out.
//   form    RFC 4180, a byte order mark before it allowed; names of columns as they are, but for spaces
//   around
//           them and the case of letters
//   errors  Errc::malformed with "<file>:<line>: ": no CSV, a column that is not there or is there twice, no
//   row
//           that can be used, or more rows rejected than used: then the mapping is wrong
Result<MappedReadings> read_mapped_csv(const std::string& file_name, std::string_view text,
                                       const CsvMapping& mapping, const std::string& sensor,
                                       const WallClock& wall_clock);

}  // namespace gyle
