#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

#include "base/result.h"

namespace gyle {

// The whole of a text file of at most `longest` bytes. Errc::not_found or Errc::refused when it cannot be
// opened, Errc::out_of_range when it is longer; the message names the file and the cause.
Result<std::string> read_file(const std::filesystem::path& path, std::size_t longest = 1 << 20);

}  // namespace gyle
