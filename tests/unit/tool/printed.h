#pragma once

#include <unistd.h>
#include <catch2/catch.hpp>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <utility>

#include "support/temp_dir.h"

namespace gyle::test {

// What is printed to a stream while `work` runs.
template <class Work>
std::string printed_to(FILE* stream, int number, Work work) {
  const TempDir dir;
  std::fflush(stream);
  const int terminal = dup(number);
  REQUIRE(std::freopen((dir / "out").c_str(), "w", stream) != nullptr);
  work();
  std::fflush(stream);
  dup2(terminal, number);
  close(terminal);
  std::ifstream text(dir / "out");
  return {std::istreambuf_iterator<char>(text), {}};
}

// To the terminal; and what is complained of.
template <class Work>
std::string printed(Work work) {
  return printed_to(stdout, STDOUT_FILENO, std::move(work));
}
template <class Work>
std::string complained(Work work) {
  return printed_to(stderr, STDERR_FILENO, std::move(work));
}

}  // namespace gyle::test
