#pragma once

#include <vector>

#include "config/toml_reader.h"
#include "ingest/source.h"

namespace gyle {

// The [[source]] blocks of the configuration. Errors are added to `problems`; then the sources
// returned must not be used.
std::vector<Source> read_sources(TomlTable& root, TomlProblems& problems);

}  // namespace gyle
