#pragma once

#include <vector>

#include "config/toml_reader.h"
#include "ingest/source.h"

namespace gyle {

// The [[source]] blocks of the configuration. What is wrong with them is added to `problems`; then the
// sources that come back are not to be used.
std::vector<Source> read_sources(TomlTable& root, TomlProblems& problems);

}  // namespace gyle
