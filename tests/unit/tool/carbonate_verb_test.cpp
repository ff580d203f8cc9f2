// What `carbonate` calculates by itself, and what it asks the daemon.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "command_line.h"
#include "printed.h"
#include "served_socket.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;

namespace {

struct Run {
  std::optional<Exit> exit;
  std::string said;
};

Run run(std::vector<const char*> arguments, const std::filesystem::path& socket = {}) {
  arguments.insert(arguments.begin(), {"gylekeeper", "carbonate"});
  const std::vector<Verb> verbs = all_verbs();
  Run result;
  result.said = test::printed([&] {
    const auto parsed = parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data());
    if (const auto* refused = std::get_if<Exit>(&parsed)) {
      result.exit = *refused;
      return;
    }
    const auto& invocation = std::get<Invocation>(parsed);
    CommonOptions common = invocation.common;
    if (!socket.empty()) common.socket = socket;
    result.exit = invocation.verb->run(common);
  });
  return result;
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

// priming_examples.csv, second row but for the sugar: 2.4 volumes, 22.22 degC, 20.8 L.
TEST_CASE("without a batch it is arithmetic, and the brewer states that the beer is finished") {
  const Run told = run({"--original-gravity", "12 P", "--final-gravity", "1.012", "--warmest", "72 F",
                        "--volume", "20.8 L", "--sugar", "glucose-monohydrate"});
  CHECK(told.exit == Exit::ok);
  CHECK(holds(told.said, "147 g of glucose monohydrate in 20.8 L"));
  CHECK(holds(told.said, "Only your word says that it is finished"));
}

TEST_CASE("for machines there are numbers with their units") {
  const Run told = run({"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "20 Cel",
                        "--keg", "--serving", "4 Cel", "--json"});
  REQUIRE(told.exit == Exit::ok);
  const auto answer = nlohmann::json::parse(told.said);
  // bottle_pressure.csv: 2.4 volumes at 4 degC.
  CHECK(answer["packaging"]["keg"]["gauge_psi"].get<double>() == Approx(10.7).margin(0.06));
  CHECK(answer["packaging"]["alcohol"]["by_volume"].get<double>() == Approx(0.0478).margin(0.0001));
  CHECK(answer["lines"].size() > 5);
}

TEST_CASE("impossible input is wrong use, and there is no result") {
  using Words = std::vector<const char*>;
  const auto wrong = GENERATE(values<Words>(
      {{},
       {"--original-gravity", "1.048", "--final-gravity", "1.050", "--warmest", "20 Cel"},
       {"--original-gravity", "1.048", "--final-gravity", "1.0422", "--warmest",
        "20 Cel"},  // 12 % attenuated
       {"--original-gravity", "1.048", "--final-gravity", "1.012"},
       {"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "300 Cel"},
       {"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "20 Cel", "--volume",
        "-19 L"},
       {"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "20 Cel", "--co2", "-2"},
       {"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "20 Cel", "--override"},
       {"--original-gravity", "1.048", "--final-gravity", "1.012", "--warmest", "20 Cel", "--sugar", "honey"},
       {"left", "--keg", "--bottles"},
       {"left", "--keg", "--sugar", "sucrose"},
       {"left", "--serving", "4 Cel"}}));
  CAPTURE(wrong);
  CHECK(run(wrong).exit == Exit::wrong_use);
}

TEST_CASE("for a batch the daemon is asked, with the options given") {
  const test::TempDir dir;
  const test::Daemon daemon(dir / "s", [](const HttpRequest& request) {
    if (request.target.find("override=true") == std::string::npos) {
      return HttpResponse{.status = 409,
                          .content_type = "application/problem+json",
                          .body = "{\"detail\": \"it must not be packaged yet\"}"};
    }
    return HttpResponse{.body = "{\"lines\": [\"" + request.target + "\"]}\n"};
  });
  CHECK(run({"left"}, dir / "s").exit == Exit::failed);
  const Run told = run({"left", "--co2", "2.6", "--keg", "--serving", "4 Cel", "--override"}, dir / "s");
  CHECK(told.exit == Exit::ok);
  CHECK(holds(told.said, "/v1/batches/left/packaging?kind=keg&volumes=2.6&serving=4%20Cel&override=true"));
}

TEST_CASE("a batch that left its vessel early is recorded, with the daemon's caution") {
  const test::TempDir dir;
  const test::Daemon daemon(dir / "s", [](const HttpRequest&) {
    return HttpResponse{.body =
                            "{\"id\": 7, \"name\": \"Amber\", \"vessel\": \"left\", \"lines\": [], "
                            "\"caution\": \"Not found stable.\"}\n"};
  });
  CommonOptions common;
  common.socket = dir / "s";
  Exit exit{};
  const std::string said = test::printed([&] { exit = package_verb().run(common); });
  CHECK(exit == Exit::ok);
  CHECK(said == "\"Amber\" has left left.\nNot found stable.\n");
}
