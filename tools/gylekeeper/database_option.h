#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"
#include "storage/backup.h"
#include "verb.h"

namespace gyle {

// The file that holds the journal: what --database says, else the configuration.
Result<std::filesystem::path> database_file(const std::optional<std::filesystem::path>& given,
                                            const CommonOptions& common);

Argument database_argument(std::optional<std::filesystem::path>& place);

// "12 batches, 86400 readings, 31 alerts and 9 notes in 12.4 MB".
std::string summary_words(const DatabaseSummary& summary);

// The same as members of a JSON object.
std::string summary_json(const DatabaseSummary& summary);

}  // namespace gyle
