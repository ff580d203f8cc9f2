#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "replay/csv_records.h"
#include "series/reading.h"

namespace gyle {

// Reads recorded readings from CSV: the header `time,sensor,quantity,value`, then a row per reading in order
// of delivery. Fed piece by piece, so that a file of any size needs little memory.
//   form    RFC 4180 with line breaks CRLF or LF, the last one optional; an empty line is skipped. Times are
//           RFC 3339, values decimal numbers in canonical units. A value that is "nan" or "inf" is a number
//           that is not plausible, not a malformed file.
//   errors  Errc::malformed with "<file>:<line>: " and what is expected; after an error it must not be
//           fed again.
//   source  RFC 4180
class ReadingsCsv {
 public:
  explicit ReadingsCsv(const std::string& file_name) : file_(file_name), records_(file_name) {}

  // The next piece of the file; may end anywhere. Complete readings are appended to `readings`.
  Status feed(std::string_view bytes, std::vector<Reading>& readings);

  // The file has ended.
  Status finish(std::vector<Reading>& readings);

 private:
  Status take(std::size_t line, const std::vector<std::string>& fields, std::vector<Reading>& readings);
  Result<Reading> read_row(std::size_t line, const std::vector<std::string>& fields) const;

  std::string file_;
  CsvRecords records_;
  bool header_read_ = false;
};

}  // namespace gyle
