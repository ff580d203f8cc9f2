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

// How the columns of another program's CSV map to readings.
struct CsvMapping {
  char separator = ',';
  std::string time_column;
  // How a time is written (replay/written_time.h); empty: "2026-03-01 18:30", with or without seconds, with a
  // space or a T between, or RFC 3339.
  std::string time_format;
  std::string gravity_column;
  bool gravity_in_plato = false;
  std::string temperature_column;  // of the beer; empty: none
  std::string ambient_column;      // ambient; empty: none
  bool fahrenheit = false;         // both
};

// The moment at which the local clock shows so long after 1970-01-01 00:00. An error when it never does.
using WallClock = std::function<Result<Time>(Duration)>;

// A row, or one value in it, that is refused.
struct RefusedInput {
  std::size_t line;
  std::string why;
};

struct MappedReadings {
  std::vector<Reading> readings;  // in order of time
  std::size_t rows = 0;           // below the header, empty lines left out
  std::size_t used = 0;           // of them, that gave a gravity
  std::vector<RefusedInput> refused_rows;
  std::vector<RefusedInput> refused_temperatures;  // of rows that are used
  bool latin1 = false;                             // the file is no UTF-8, and was read as Latin-1
};

// Reads recorded gravities and temperatures from CSV with a header. A row without a plausible gravity or a
// time is refused, and so is a temperature that is not a plausible number; each with its line and the reason.
//   form    RFC 4180, a byte order mark before it allowed, UTF-8 or else Latin-1; column names are
//           compared without spaces around them and regardless of case; decimals after a point or a comma
//   errors  Errc::malformed with "<file>:<line>: ": not CSV, UTF-16, a column that is missing or occurs
//           twice, no usable row, more rows refused than used, or temperatures of which most cannot
//           be degrees Celsius: then the mapping is wrong
Result<MappedReadings> read_mapped_csv(const std::string& file_name, std::string_view text,
                                       const CsvMapping& mapping, const std::string& sensor,
                                       const WallClock& wall_clock);

}  // namespace gyle
