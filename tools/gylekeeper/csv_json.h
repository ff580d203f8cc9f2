#pragma once

#include <string>

#include "base/result.h"

namespace gyle {

// The rows of a CSV with a header as a JSON array, an object for each row on a line of its own: numbers as
// numbers but in columns of text (sensor, text, evidence), what is empty as null. Errc::malformed as of
// CsvRecords.
Result<std::string> rows_as_json(const std::string& csv);

}  // namespace gyle
