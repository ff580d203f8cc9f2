#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "series/reading.h"

namespace gyle {

// Reads recorded readings from CSV: the header `time,sensor,quantity,value`, then a row per reading in order
// of delivery. Fed piece by piece, so that a file of any size needs little memory.
//   form    RFC 4180 with line breaks CRLF or LF, the last one optional; an empty line is skipped. Times are
//           RFC 3339, values decimal numbers in canonical units. A value that is "nan" or "inf" is a number
//           that is not plausible, not a malformed file.
//   errors  Errc::malformed with "<file>:<line>: " and what would be right; the reader is then spent.
//   source  RFC 4180
class ReadingsCsv {
 public:
  explicit ReadingsCsv(std::string file_name) : file_(std::move(file_name)) {}

  // The next piece of the file; may end anywhere. Complete readings are appended to `readings`.
  Status feed(std::string_view bytes, std::vector<Reading>& readings);

  // The file has ended.
  Status finish(std::vector<Reading>& readings);

 private:
  using Failure = decltype(fail(Errc::malformed, ""));
  enum class At { field_start, unquoted, quoted, after_quote, after_cr };

  Status take(char c, std::vector<Reading>& readings);
  Status end_record(std::vector<Reading>& readings);
  Status read_header() const;
  Result<Reading> read_row() const;
  Failure malformed(std::size_t line, std::string what) const;

  std::string file_;
  At at_ = At::field_start;
  bool header_read_ = false;
  std::size_t line_ = 1;         // being read
  std::size_t record_line_ = 1;  // on which the record began
  std::size_t record_bytes_ = 0;
  std::vector<std::string> fields_{""};
};

}  // namespace gyle
