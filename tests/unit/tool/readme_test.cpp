// What the README tells a newcomer to type is understood as it stands.
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "command_line.h"
#include "config/batch_file.h"
#include "support/places.h"
#include "typed_words.h"
#include "verbs.h"

using namespace gyle;

namespace {

std::vector<std::string> indented_lines() {
  std::ifstream file(test::source_dir() + "/README.md");
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("    ")) lines.push_back(line.substr(line.find_first_not_of(' ')));
  }
  return lines;
}

}  // namespace

TEST_CASE("every command of the README is one") {
  int commands = 0;
  for (std::string line : indented_lines()) {
    if (line.starts_with("$ ")) line.erase(0, 2);
    if (line.starts_with("sudo ")) line.erase(0, 5);
    if (!line.starts_with("gylekeeper ")) continue;
    CAPTURE(line);
    const auto all = test::typed_words(line);
    std::vector<const char*> arguments;
    for (const std::string& one : all) arguments.push_back(one.c_str());
    const std::vector<Verb> verbs = all_verbs();
    CHECK(std::holds_alternative<Invocation>(
        parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data())));
    ++commands;
  }
  CHECK(commands > 15);
}

TEST_CASE("the batch file of the README describes a batch") {
  std::string toml;
  for (const std::string& line : indented_lines()) {
    if (line.starts_with("name = \"Amber")) toml.clear();
    if (line.starts_with("name = \"Amber") || !toml.empty()) toml += line + "\n";
    if (line.starts_with("until = \"final-gravity\"")) break;
  }
  const auto batch = parse_batch(toml, "README.md");
  if (!batch) FAIL(batch.error().message);
  CHECK(batch.value().plan.size() == 2);
}
