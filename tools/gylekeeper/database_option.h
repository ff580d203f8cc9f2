#pragma once

#include <filesystem>
#include <optional>

#include "base/result.h"
#include "verb.h"

namespace gyle {

// The file that holds the journal: what --database says, else the configuration.
Result<std::filesystem::path> database_file(const std::optional<std::filesystem::path>& given,
                                            const CommonOptions& common);

Argument database_argument(std::optional<std::filesystem::path>& place);

}  // namespace gyle
