#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>

#include "base/time.h"

namespace gyle {

// One record of CSV, its line break (CRLF) included. Fields that hold a comma, a quote or a line break are
// quoted.
//   source  RFC 4180 section 2
std::string csv_record(std::initializer_list<std::string_view> fields);

// Fields of a record. A value that is absent or not finite becomes the empty field.
std::string csv_number(std::optional<double> value, int decimals);

// Text of a person or a sensor, as a field that no spreadsheet takes for a formula: text that begins with
// =, +, -, @, a tab or a line break, or with one of the signs in full width, gets an apostrophe before it.
//   source  OWASP, CSV Injection
std::string csv_text(std::string_view text);

// RFC 3339 UTC, rounded to the second; years 1 to 9999, else empty.
std::string csv_time(Time time);

}  // namespace gyle
