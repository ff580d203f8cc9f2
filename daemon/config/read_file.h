#pragma once

#include <cstddef>
#include <filesystem>
#include <string>

#include "base/result.h"

namespace gyle {

// The whole of a text file of at most `longest` bytes. Errc::not_found or Errc::refused when it cannot be
// opened, Errc::out_of_range when it is longer; the message names the file and the cause.
Result<std::string> read_file(const std::filesystem::path& path, std::size_t longest = 1 << 20);

// Reads a secret: what the file holds, without the line's end. A relative name is looked for among systemd's
// credentials ($CREDENTIALS_DIRECTORY). Errc::not_found or unavailable name the file, never what is in it;
// Errc::missing: it is empty.
Result<std::string> read_secret(const std::filesystem::path& file);

}  // namespace gyle
