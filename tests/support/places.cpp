#include "support/places.h"

namespace gyle::test {

std::string source_dir() { return GYLE_SOURCE_DIR; }
std::string reference_dir() { return source_dir() + "/tests/reference"; }

}  // namespace gyle::test
