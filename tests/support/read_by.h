#pragma once

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <string>

#include "support/places.h"
#include "support/process.h"
#include "support/python.h"
#include "support/temp_dir.h"

namespace gyle::test {

// The output of an independent parser (a script of tests/support) for a text; fails the test when the parser
// refuses it.
inline std::string read_by(const char* reader, const std::string& text) {
  const TempDir dir;
  std::ofstream(dir / "text", std::ios::binary) << text;
  Process parser({python(), source_dir() + "/tests/support/" + reader, (dir / "text").string()}, dir / "out");
  const auto exit = parser.wait(std::chrono::seconds(30));
  std::ifstream in(dir / "out");
  const std::string out{std::istreambuf_iterator<char>(in), {}};
  INFO(out);
  REQUIRE(exit == 0);
  return out;
}

}  // namespace gyle::test
