#pragma once

#include <filesystem>
#include <optional>
#include <string_view>

#include "base/result.h"

namespace gyle {

// Writes a whole file, replacing one that is there. Errc::storage with the file and the system's reason.
Status write_file(const std::filesystem::path& path, std::string_view content);

// Writes to that file, or without one to the terminal.
Status write_out(const std::optional<std::filesystem::path>& path, std::string_view content);

}  // namespace gyle
