#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"

namespace gyle {

// The whole of a text file of at most 1 MiB. Errc::not_found or Errc::refused when it cannot be opened,
// Errc::out_of_range when it is longer; the message names the file and the cause.
Result<std::string> read_file(const std::filesystem::path& path);

}  // namespace gyle
