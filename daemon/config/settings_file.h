#pragma once

#include <filesystem>
#include <set>
#include <string>
#include <string_view>

#include "base/result.h"
#include "config/settings.h"

namespace gyle {

// The daemon's configuration, everything checked that can be checked without the broker. What is absent has
// the default of settings.h. One error, the first in the file: "gylekeeper.toml:12: source[2].gravity.unit:
// "brix" is not ..."; blocks are counted from 1. Paths are kept as written.
Result<Settings> load_settings(const std::filesystem::path& path);

// The same from text; `file_name` is used in messages. `keys`, when given, receives every key that the reader
// looked for, without indexes ("source.topic").
Result<Settings> parse_settings(std::string_view text, std::string_view file_name,
                                std::set<std::string>* keys = nullptr);

}  // namespace gyle
