// What `sensors` and `refusals` ask the daemon, and that its words reach the terminal.

#include <unistd.h>
#include <catch2/catch.hpp>
#include <cstdio>
#include <fstream>
#include <sstream>

#include "served_socket.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;
using test::Daemon;

namespace {

// What is printed while `work` runs.
template <class Work>
std::string printed(const test::TempDir& dir, Work work) {
  std::fflush(stdout);
  const int terminal = dup(STDOUT_FILENO);
  REQUIRE(std::freopen((dir / "out").c_str(), "w", stdout) != nullptr);
  work();
  std::fflush(stdout);
  dup2(terminal, STDOUT_FILENO);
  close(terminal);
  std::stringstream text;
  text << std::ifstream(dir / "out").rdbuf();
  return text.str();
}

std::string answer(const Verb& verb, bool json, Exit& exit) {
  const test::TempDir dir;
  const Daemon daemon(dir / "s", [](const HttpRequest& request) {
    return HttpResponse{.body = "{\"lines\": [\"" + request.target + "\", \"  a\\u001bb\"]}\n"};
  });
  CommonOptions common;
  common.socket = dir / "s";
  common.json = json;
  return printed(dir, [&] { exit = verb.run(common); });
}

}  // namespace

TEST_CASE("sensors and refusals show the daemon's lines, and nothing that a terminal would obey") {
  Exit exit{};
  CHECK(answer(sensors_verb(), false, exit) == "/v1/sensors\n  a?b\n");
  CHECK(exit == Exit::ok);
  CHECK(answer(refusals_verb(), false, exit) == "/v1/refusals?limit=20\n  a?b\n");
  CHECK(exit == Exit::ok);
}

TEST_CASE("with --json the answer is passed on as it is") {
  Exit exit{};
  CHECK(answer(sensors_verb(), true, exit) == "{\"lines\": [\"/v1/sensors\", \"  a\\u001bb\"]}\n");
  CHECK(answer(refusals_verb(), true, exit).find("limit=20") != std::string::npos);
}
