#include "command_line.h"

#include <catch2/catch.hpp>
#include <set>

#include "typed_words.h"
#include "verbs.h"

using namespace gyle;

namespace {

std::variant<Invocation, Exit> parsed(std::span<const Verb> verbs, std::vector<const char*> arguments) {
  arguments.insert(arguments.begin(), "gylekeeper");
  return parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data());
}

}  // namespace

TEST_CASE("arguments reach their places") {
  bool flag = false;
  std::string text, by_place;
  std::optional<std::string> absent, given;
  std::vector<std::string> several;
  std::optional<std::filesystem::path> path;
  std::optional<std::uint64_t> number;
  const std::vector<Verb> verbs{
      {.name = "try",
       .about = "all kinds of places",
       .arguments = {{.name = "thing", .place = &by_place, .about = "by its place", .required = true},
                     {.name = "--flag", .place = &flag, .about = "a flag"},
                     {.name = "--text", .place = &text, .about = "a text"},
                     {.name = "--absent", .place = &absent, .about = "not given"},
                     {.name = "--given", .place = &given, .about = "given", .needs = {"--text"}},
                     {.name = "--one", .place = &several, .about = "several times"},
                     {.name = "--path", .place = &path, .about = "a file"},
                     {.name = "--number", .place = &number, .about = "a number", .check = whole_number(2, 9)},
                     {.name = "--colour",
                      .place = &absent,
                      .about = "one of two",
                      .choices = {"pale", "dark"},
                      .excludes = {"--flag"}}},
       .run = [](const CommonOptions&) { return Exit::ok; }}};
  const auto result = parsed(verbs, {"try", "--flag", "Amber no. 12", "--text", "t", "--given", "-1", "--one",
                                     "a", "--one", "b", "--path", "a b.csv", "--number", "7"});
  REQUIRE(std::holds_alternative<Invocation>(result));
  CHECK(std::get<Invocation>(result).verb == verbs.data());
  CHECK(flag);
  CHECK(by_place == "Amber no. 12");
  CHECK(text == "t");
  CHECK_FALSE(absent);
  CHECK(given == "-1");
  CHECK(several == std::vector<std::string>{"a", "b"});
  CHECK(path == "a b.csv");
  CHECK(number == 7);

  const auto wrong = GENERATE(values<std::vector<const char*>>({{"try"},
                                                                {"try", "a", "b"},
                                                                {"try", "a", "--given", "x"},
                                                                {"try", "a", "--number", "1"},
                                                                {"try", "a", "--number", "10"},
                                                                {"try", "a", "--number", "-3"},
                                                                {"try", "a", "--number", "x"},
                                                                {"try", "a", "--text", "a", "--text", "b"},
                                                                {"try", "a", "--colour", "blue"},
                                                                {"try", "a", "--colour", "pale", "--flag"}}));
  CAPTURE(wrong);
  CHECK(std::get<Exit>(parsed(verbs, wrong)) == Exit::wrong_use);
}

TEST_CASE("every verb has help, with examples that are valid") {
  const std::vector<Verb> verbs = all_verbs();
  std::set<std::string> names;
  for (const Verb& verb : verbs) {
    CAPTURE(verb.name);
    CHECK(names.insert(verb.name).second);
    CHECK_FALSE(verb.about.empty());
    CHECK(verb.about.back() != '.');
    REQUIRE(verb.run);
    CHECK(std::get<Exit>(parsed(verbs, {verb.name.c_str(), "--help"})) == Exit::ok);
    CHECK_FALSE(verb.examples.empty());
    for (const std::string& example : verb.examples) {
      CAPTURE(example);
      const std::vector<std::string> all = test::typed_words(example);
      REQUIRE(all.size() > 1);
      CHECK(all[0] == "gylekeeper");
      std::vector<const char*> arguments;
      for (std::size_t i = 1; i < all.size(); ++i) arguments.push_back(all[i].c_str());
      const std::vector<Verb> fresh = all_verbs();  // places start empty
      const auto result = parsed(fresh, arguments);
      REQUIRE(std::holds_alternative<Invocation>(result));
      CHECK(std::get<Invocation>(result).verb->name == verb.name);
    }
  }
}

TEST_CASE("the common options stand before or after the verb") {
  const auto order = GENERATE(values<std::vector<const char*>>(
      {{"--json", "--config", "/etc/my config.toml", "--socket", "s", "status"},
       {"status", "--json", "--config", "/etc/my config.toml", "--socket", "s"}}));
  const std::vector<Verb> verbs = all_verbs();
  const auto result = parsed(verbs, order);
  REQUIRE(std::holds_alternative<Invocation>(result));
  const CommonOptions& common = std::get<Invocation>(result).common;
  CHECK(common.json);
  CHECK(common.config == "/etc/my config.toml");
  CHECK(common.socket == "s");
}

TEST_CASE("wrong use has its own exit code, help is no failure") {
  const auto wrong = GENERATE(values<std::vector<const char*>>({
      {},
      {"brew"},
      {"--nonsense"},
      {"status", "--nonsense"},
      {"status", "left", "right"},
      {"pitch", "--name", "n"},
      {"package"},
      {"explain"},
      {"forecast"},
      {"forecast", "left", "--from", "2026-03-12T18:00:00Z"},
      {"sample", "left"},
      {"sample", "left", "1.012", "--calibrated-at", "20 Cel"},
      {"sample", "left", "6.2", "--refractometer", "--temperature", "24 Cel"},
      {"sample", "left", "1.012", "--wort-correction", "1.03"},
      {"sensors", "left"},
      {"refusals", "--limit", "-1"},
      {"refusals", "--limit", "1001"},
      {"replay", "--batch", "b"},
      {"replay", "--readings", "r"},
      {"rehearse", "--speed", "0"},
      {"rehearse", "--speed", "nan"},
      {"rehearse", "--speed", "fast"},
      {"rehearse", "--seed", "-1"},
      {"listen", "--count", "x"},
      {"listen", "--count", "0"},
      {"listen", "--count", "-3"},
  }));
  CAPTURE(wrong);
  const auto result = parsed(all_verbs(), wrong);
  REQUIRE(std::holds_alternative<Exit>(result));
  CHECK(std::get<Exit>(result) == Exit::wrong_use);

  const auto fine = GENERATE(values<std::vector<const char*>>(
      {{"--help"}, {"--version"}, {"replay", "--help"}, {"sample", "--help"}}));
  CHECK(std::get<Exit>(parsed(all_verbs(), fine)) == Exit::ok);
}

TEST_CASE("a batch without a name and without a description is wrong use") {
  const std::vector<Verb> verbs = all_verbs();
  const auto result = parsed(verbs, {"pitch", "--vessel", "left"});
  CHECK(std::get<Invocation>(result).verb->run({}) == Exit::wrong_use);
}
