#pragma once

#include <filesystem>
#include <string>

#include "base/result.h"

namespace gyle {

// Reads a secret: what the file holds, without the line's end. A relative name is looked for among systemd's
// credentials ($CREDENTIALS_DIRECTORY). Errc::not_found or unavailable name the file, never what is in it;
// Errc::missing: it is empty.
Result<std::string> read_secret(const std::filesystem::path& file);

}  // namespace gyle
