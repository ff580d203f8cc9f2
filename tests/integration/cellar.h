#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <string>
#include <vector>

#include "support/broker.h"
#include "support/process.h"
#include "support/temp_dir.h"

namespace gyle::test {

inline std::string content(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// A broker, a daemon and the tool, all with their files in a folder of the test. Who derives from it writes the
// configuration and starts them.
struct Cellar {
  struct Said {
    int exit;
    std::string text;
  };

  explicit Cellar(std::string broker_options = "allow_anonymous true\n")
      : broker(std::move(broker_options)) {}

  std::filesystem::path config() const { return dir / "gylekeeper.toml"; }
  std::filesystem::path log() const { return dir / "daemon.log"; }

  std::vector<std::string> command(std::vector<std::string> arguments) const {
    arguments.insert(arguments.begin(), {GYLE_TOOL, "--config", config()});
    return arguments;
  }
  Said ask(std::vector<std::string> arguments) const {
    const TempDir out;
    Process tool(command(std::move(arguments)), out / "said");
    const int exit = tool.wait().value_or(-1);
    return {exit, content(out / "said")};
  }

  Broker broker;
  TempDir dir;
  std::unique_ptr<Process> daemon;
};

}  // namespace gyle::test
