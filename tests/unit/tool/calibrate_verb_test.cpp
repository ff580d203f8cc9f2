// What `calibrate`, `samples` and `sample` ask the daemon.

#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "command_line.h"
#include "served_socket.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;

namespace {

struct Asked {
  std::vector<std::string> requests;  // "METHOD target: body"
  Exit exit = Exit::ok;
};

Asked ask(std::vector<const char*> arguments, int pages = 1) {
  const test::TempDir dir;
  Asked asked;
  {
    const test::Daemon daemon(dir / "s", [&](const HttpRequest& request) {
      asked.requests.push_back(request.method + " " + request.target + ": " + request.body);
      const bool more = static_cast<int>(asked.requests.size()) < pages;
      return HttpResponse{.body = more ? R"({"lines": [], "next": "c1"})" : R"({"lines": []})"};
    });
    const std::string socket = dir / "s";
    arguments.insert(arguments.begin(), {"gylekeeper", "--socket", socket.c_str()});
    const auto verbs = all_verbs();
    const auto parsed = parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data());
    if (const auto* const exit = std::get_if<Exit>(&parsed)) {
      asked.exit = *exit;
    } else {
      const auto& invocation = std::get<Invocation>(parsed);
      asked.exit = invocation.verb->run(invocation.common);
    }
  }
  return asked;
}

}  // namespace

TEST_CASE("points are sent one a line, as they were written") {
  const Asked asked = ask({"calibrate", "the hydrometer", "--point", "21.4 = 1.000", "--point", "57.3 = 10 P",
                           "--samples", "left", "--dry-run"});
  CHECK(asked.exit == Exit::ok);
  REQUIRE(asked.requests.size() == 1);
  CHECK(
      asked.requests[0] ==
      "POST /v1/sensors/the%20hydrometer/calibration?samples=left&dry_run=true: 21.4 = 1.000\n57.3 = 10 P\n");
}

TEST_CASE("a calibration is shown and set aside") {
  CHECK(ask({"calibrate", "hydrometer", "--show"}).requests ==
        std::vector<std::string>{"GET /v1/sensors/hydrometer/calibration: "});
  CHECK(ask({"calibrate", "hydrometer", "--set-aside"}).requests ==
        std::vector<std::string>{"POST /v1/sensors/hydrometer/calibration/set-aside: "});
}

TEST_CASE("an impossible calibration is wrong use, and the daemon is not asked") {
  const auto arguments = GENERATE(
      values<std::vector<const char*>>({{"calibrate", "hydrometer"},
                                        {"calibrate", "hydrometer", "--dry-run"},
                                        {"calibrate", "hydrometer", "--point", "21.4"},
                                        {"calibrate", "hydrometer", "--point", "121.4 = 1.000"},
                                        {"calibrate", "hydrometer", "--point", "21.4 = 1000"},
                                        {"calibrate", "hydrometer", "--show", "--point", "21.4 = 1.000"},
                                        {"sample", "left", "12.4", "--wort"}}));
  const Asked asked = ask(arguments);
  CHECK(asked.exit == Exit::wrong_use);
  CHECK(asked.requests.empty());
}

TEST_CASE("hand samples are asked for page by page") {
  const Asked asked = ask({"samples", "left"}, 2);
  CHECK(asked.exit == Exit::ok);
  CHECK(asked.requests == std::vector<std::string>{"GET /v1/batches/left/samples?limit=1000: ",
                                                   "GET /v1/batches/left/samples?limit=1000&cursor=c1: "});
}

TEST_CASE("a refractometer reading of wort is sent as one") {
  CHECK(ask({"sample", "left", "12.4", "--refractometer", "--wort"}).requests ==
        std::vector<std::string>{"POST /v1/batches/left/samples?refractometer=12.4&wort=true: "});
}

namespace {

std::string file_text(const std::filesystem::path& path) {
  std::stringstream text;
  text << std::ifstream(path).rdbuf();
  return text.str();
}

}  // namespace

// The truth is the same beer, sent as gravity.
TEST_CASE(
    "a replay of a hydrometer that told its inclination, with its points, is that of one that told the "
    "gravity") {
  const test::TempDir dir;
  const std::string batch = dir / "b.toml", readings = dir / "r.csv", inclined = dir / "t.csv";
  const std::string points = "hydrometer=" + std::string(dir / "points.txt");
  const std::string plain = dir / "plain.jsonl", replayed = dir / "inclined.jsonl";
  REQUIRE(ask({"rehearse", "--seed", "7", "--interval", "60 min", "--pitched", "2026-03-01 18:30",
               "--dry-run", "--quiet", "--write-batch", batch.c_str(), "--write-readings", readings.c_str()})
              .exit == Exit::ok);
  {
    std::ifstream in(readings);
    std::ofstream out(inclined);
    out.precision(12);
    std::string float_id;
    for (std::string line; std::getline(in, line);) {
      const std::size_t at = line.find(",gravity,");
      if (at == std::string::npos) {
        out << line << '\n';
        continue;
      }
      if (float_id.empty()) float_id = line.substr(line.find(',') + 1, at - line.find(',') - 1);
      out << line.substr(0, at) << ",inclination," << 18 + 450 * (std::stod(line.substr(at + 9)) - 1) << '\n';
    }
    CHECK(float_id == "hydrometer");
    std::ofstream(dir / "points.txt") << "18 = 1.000\n36 = 1.040\n54 = 1.080\n";
  }
  REQUIRE(ask({"replay", "--batch", batch.c_str(), "--readings", readings.c_str(), "--alerts", plain.c_str()})
              .exit == Exit::ok);
  REQUIRE(ask({"replay", "--batch", batch.c_str(), "--readings", inclined.c_str(), "--calibration",
               points.c_str(), "--alerts", replayed.c_str()})
              .exit == Exit::ok);
  const auto kinds = [](const std::string& lines) {
    std::vector<std::string> all;
    std::istringstream in(lines);
    for (std::string line; std::getline(in, line);) all.push_back(line.substr(0, line.find("\"text\"")));
    return all;
  };
  CHECK(kinds(file_text(plain)).size() >= 3);
  CHECK(kinds(file_text(replayed)) == kinds(file_text(plain)));
  // Without its points an inclination gives no gravity.
  REQUIRE(
      ask({"replay", "--batch", batch.c_str(), "--readings", inclined.c_str(), "--alerts", replayed.c_str()})
          .exit == Exit::ok);
  CHECK(kinds(file_text(replayed)) != kinds(file_text(plain)));
  CHECK(
      ask({"replay", "--batch", batch.c_str(), "--readings", inclined.c_str(), "--calibration", "points.txt"})
          .exit == Exit::wrong_use);
  std::ofstream(dir / "points.txt") << "18 = 1.000\n";
  CHECK(ask({"replay", "--batch", batch.c_str(), "--readings", inclined.c_str(), "--calibration",
             points.c_str()})
            .exit == Exit::wrong_use);
}
