#pragma once

#include <unistd.h>

#include <string>

namespace gyle::test {

// The system's Python, which has the Debian packages; PATH may have another one first.
inline std::string python() {
  const char* const system = "/usr/bin/python3";
  return access(system, X_OK) == 0 ? system : "python3";
}

}  // namespace gyle::test
