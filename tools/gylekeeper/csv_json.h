#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"
#include "verb.h"

namespace gyle {

// The rows of a CSV with a header as a JSON array, an object for each row on a line of its own: numbers as
// numbers but in columns of text (sensor, text, evidence), what is empty as null. Errc::malformed as of
// CsvRecords.
Result<std::string> rows_as_json(const std::string& csv);

// The end of a verb that shows a CSV, with --json as rows_as_json(): to that file, or without one to the terminal.
Exit write_rows(const Result<std::string>& csv, const std::optional<std::filesystem::path>& output,
                const CommonOptions& common);

}  // namespace gyle
