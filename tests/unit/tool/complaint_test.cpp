// What the tool says when something is wrong.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "command_line.h"
#include "printed.h"
#include "verbs.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

// The exit code of a command, and its complaint.
std::pair<Exit, std::string> run(std::vector<const char*> words) {
  words.insert(words.begin(), "gylekeeper");
  std::pair<Exit, std::string> result{Exit::ok, ""};
  result.second = test::complained([&] {
    const std::vector<Verb> verbs = all_verbs();
    const auto parsed = parse_command_line(verbs, static_cast<int>(words.size()), words.data());
    const auto* invocation = std::get_if<Invocation>(&parsed);
    result.first = invocation ? invocation->verb->run(invocation->common) : std::get<Exit>(parsed);
  });
  return result;
}

}  // namespace

TEST_CASE("an unknown option ends with 2") {
  for (const auto& words :
       std::vector<std::vector<const char*>>{{"--bogus"}, {"status", "--bogus"}, {"bogus"}}) {
    const auto [exit, complaint] = run(words);
    CHECK(exit == Exit::wrong_use);
    CHECK_THAT(complaint, Contains("bogus"));
  }
}

TEST_CASE("with JSON a complaint is one object, also of a command line") {
  complain_in_json();
  const auto [exit, complaint] = run({"status", "--json", "--bogus"});
  const auto [unreachable, why] = run({"status", "--json", "--socket", "/nowhere/s"});
  complain_in_json(false);
  CHECK(exit == Exit::wrong_use);
  const auto json = nlohmann::json::parse(complaint);
  CHECK(json["exit"] == 2);
  CHECK_THAT(json["error"].get<std::string>(), Contains("--bogus"));
  CHECK(unreachable == Exit::unreachable);
  CHECK(nlohmann::json::parse(why)["exit"] == 3);
}

TEST_CASE("every line of a complaint begins alike, and a terminal does not interpret it") {
  const std::string complaint = test::complained([] {
    complain(Error{Errc::malformed, "a:1: one\na:2: t\x1bo"}, Exit::wrong_use);
  });
  CHECK(complaint == "gylekeeper: a:1: one\ngylekeeper: a:2: t?o\n");
}

TEST_CASE("an error in an option names the option") {
  struct Row {
    std::vector<const char*> words;
    const char* says;
  };
  const auto row = GENERATE(values<Row>({
      {{"--original-gravity", "1048"}, "--original-gravity: "},
      {{"--original-gravity", "1.001"}, "--original-gravity: above 1.005"},
      {{"--refractometer", "sweet"}, "--refractometer: "},
      {{"--volume", "20"}, "--volume: "},
      {{"--attenuation", "0.79:0.73"},
       "--attenuation: two fractions, low:high, are expected, such as 0.71:0.78"},
      {{"--yeast-range", "16:22"}, "--yeast-range: "},
      {{"--yeast-range", "22 C:16 C"}, "--yeast-range: low:high"},
      {{"--hold", "18 C"}, "--hold: "},
      {{"--hold", "90 C for 7 d"}, "--hold number 1: between -5 and 50"},
  }));
  std::vector<const char*> words{
      "import",           "FILE", "--vessel",  "left",        "--name", "A", "--time-column", "Date",
      "--gravity-column", "SG",   "--dry-run", "--time-zone", "Etc/UTC"};
  const test::TempDir dir;
  const std::string file = dir / "old.csv";
  std::ofstream(file) << "Date,SG\n2026-03-01 18:30,1.048\n2026-03-09 18:30,1.012\n";
  words[1] = file.c_str();
  words.insert(words.end(), row.words.begin(), row.words.end());
  const auto [exit, complaint] = run(words);
  CHECK(exit == Exit::wrong_use);
  CHECK_THAT(complaint, Contains(row.says) && !Contains("[0.73"));
}

TEST_CASE("listen checks its filters and the broker's name before it connects") {
  const auto [exit, complaint] = run({"listen", "--topic", "cellar/#/state"});
  CHECK(exit == Exit::wrong_use);
  CHECK_THAT(complaint, Contains("--topic cellar/#/state: \"#\" can only be the last level"));
  // Never to be resolved: RFC 6761 section 6.4.
  const auto [unknown, why] = run({"listen", "--broker", "mqtt://broker.invalid"});
  CHECK(unknown == Exit::failed);
  CHECK_THAT(why, Contains("the name \"broker.invalid\" is unknown"));
}
