#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace gyle {

// Errc::malformed: "<file>:<line>: <what>", without control characters.
decltype(fail(Errc::malformed, "")) malformed_csv(const std::string& file, std::size_t line,
                                                  std::string what);

// Cuts CSV into records. Fed piece by piece, so that a file of any size needs little memory.
//   form    RFC 4180 with line breaks CRLF or LF, the last one optional, and any separator. An empty line is
//           a record of one empty field
//   errors  Errc::malformed with "<file>:<line>: " and what is expected, and the errors of `take`; after an
//           error it must not be fed again
//   source  RFC 4180
class CsvRecords {
 public:
  // Of one record: the line on which it began, and its fields.
  using Take = std::function<Status(std::size_t, const std::vector<std::string>&)>;

  explicit CsvRecords(std::string file_name, char separator = ',', std::size_t most_bytes = 4096)
      : file_(std::move(file_name)), separator_(separator), most_bytes_(most_bytes) {}

  // The next piece of the file; may end anywhere.
  Status feed(std::string_view bytes, const Take& take);

  // The file has ended.
  Status finish(const Take& take);

 private:
  enum class At { field_start, unquoted, quoted, after_quote, after_cr };

  Status put(char c, const Take& take);
  Status end_record(const Take& take);

  std::string file_;
  char separator_;
  std::size_t most_bytes_;  // of a record
  At at_ = At::field_start;
  std::size_t line_ = 1;         // being read
  std::size_t record_line_ = 1;  // on which the record began
  std::size_t record_bytes_ = 0;
  std::vector<std::string> fields_{""};
};

}  // namespace gyle
