#pragma once

#include <unistd.h>
#include <catch2/catch.hpp>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>

#include "support/temp_dir.h"

namespace gyle::test {

// What is printed to the terminal while `work` runs.
template <class Work>
std::string printed(Work work) {
  const TempDir dir;
  std::fflush(stdout);
  const int terminal = dup(STDOUT_FILENO);
  REQUIRE(std::freopen((dir / "out").c_str(), "w", stdout) != nullptr);
  work();
  std::fflush(stdout);
  dup2(terminal, STDOUT_FILENO);
  close(terminal);
  std::ifstream text(dir / "out");
  return {std::istreambuf_iterator<char>(text), {}};
}

}  // namespace gyle::test
