// What `sensors` and `refusals` ask the daemon, and that its words reach the terminal.

#include <catch2/catch.hpp>

#include "command_line.h"
#include "printed.h"
#include "served_socket.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;
using test::Daemon;

namespace {

std::string answer(const Verb& verb, bool json, Exit& exit) {
  const test::TempDir dir;
  const Daemon daemon(dir / "s", [](const HttpRequest& request) {
    return HttpResponse{.body = "{\"lines\": [\"" + request.target + "\", \"  a\\u001bb\"]}\n"};
  });
  CommonOptions common;
  common.socket = dir / "s";
  common.json = json;
  return test::printed([&] { exit = verb.run(common); });
}

}  // namespace

TEST_CASE("sensors and refusals show the daemon's lines, and nothing that a terminal would interpret") {
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

TEST_CASE("a sensor is forgotten by its id") {
  const test::TempDir dir;
  const Daemon daemon(dir / "s", [](const HttpRequest& request) {
    return HttpResponse{.body = "{\"lines\": [\"" + request.method + " " + request.target + "\"]}\n"};
  });
  const std::string socket = dir / "s";
  const std::vector<Verb> verbs = all_verbs();
  const char* const words[] = {"gylekeeper", "forget", "probe 7", "--socket", socket.c_str()};
  const auto parsed = parse_command_line(verbs, 5, words);
  REQUIRE(std::holds_alternative<Invocation>(parsed));
  const Invocation& invocation = std::get<Invocation>(parsed);
  CHECK(test::printed([&] { invocation.verb->run(invocation.common); }) == "DELETE /v1/sensors/probe%207\n");
}
