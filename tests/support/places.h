// Folders of files that tests read.
#pragma once

#include <string>

namespace gyle::test {

std::string source_dir();     // of the repository
std::string reference_dir();  // published values

}  // namespace gyle::test
