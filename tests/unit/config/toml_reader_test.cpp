#include "config/toml_reader.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

TEST_CASE("a file that is not TOML is reported with the line") {
  struct Row {
    const char* text;
    const char* where;
  };
  const auto row = GENERATE(values<Row>({{"a = \n", "x.toml:1: "},
                                         {"a = 1\nb = = 2\n", "x.toml:2: "},
                                         {"a = 1\na = 2\n", "x.toml:2: "},
                                         {"[t]\n[t]\n", "x.toml:2: "},
                                         {"\n\na = \"open\n", "x.toml:3: "}}));
  const auto parsed = parse_toml(row.text, "x.toml");
  REQUIRE_FALSE(parsed.has_value());
  CHECK_THAT(parsed.error().message, Catch::StartsWith(row.where));
}

// The examples of TOML 1.0 for offset date-times name these instants.
TEST_CASE("an offset date-time is an instant") {
  const auto parsed = parse_toml(
      "a = 1979-05-27T07:32:00Z\nb = 1979-05-27T00:32:00-07:00\n"
      "c = 1979-05-27 07:32:00.999999Z\nd = 1979-05-27T07:32:00\ne = 1979-05-27\n",
      "x");
  REQUIRE(parsed.has_value());
  const auto& table = std::get<TomlValue::Table>(parsed.value().is);
  const Time expected = parse_rfc3339("1979-05-27T07:32:00Z").value();
  CHECK(std::get<Time>(table[0].value.is) == expected);
  CHECK(std::get<Time>(table[1].value.is) == expected);
  CHECK(std::get<Time>(table[2].value.is) == expected + Duration(999));
  CHECK(std::holds_alternative<TomlValue::Local>(table[3].value.is));
  CHECK(std::holds_alternative<TomlValue::Local>(table[4].value.is));
  CHECK(table[3].value.line == 4);
}

TEST_CASE("deep nesting is an error, not a crash") {
  const auto parsed = parse_toml("a = " + std::string(100000, '['), "x");
  CHECK_FALSE(parsed.has_value());
}

TEST_CASE("a misspelt key is reported with the nearest known one") {
  const std::vector<std::string> known{"broker", "version", "client_id"};
  CHECK(nearest("brokr", known) == "broker");
  CHECK(nearest("clientid", known) == "client_id");
  CHECK(nearest("temperature", known).empty());
  CHECK(nearest(std::string(100000, 'x'), known).empty());
}

TEST_CASE("all errors are reported in the order of the file") {
  TomlProblems problems("f.toml");
  CHECK(problems.status().has_value());
  problems.add(7, "b.x", "second");
  problems.add(3, "a", "first");
  problems.add_absence(6, "b", "b.name", "missing");  // b.x may be meant
  problems.add_absence(1, "c", "c.name", "missing");
  CHECK(problems.status().error().message ==
        "f.toml:3: a: first\nf.toml:7: b.x: second\nf.toml:1: c.name: missing");
}

TEST_CASE("of very many errors the first are reported, and how many more there are") {
  TomlProblems problems("f.toml");
  for (int line = 1; line <= 25; ++line) problems.add(line, "a", "wrong");
  const std::string message = problems.status().error().message;
  CHECK(std::count(message.begin(), message.end(), '\n') == 20);
  CHECK_THAT(message, Catch::EndsWith("f.toml:21: and 5 more"));
}

TEST_CASE("text from a file is quoted in a form that can be shown") {
  TomlProblems problems("f.toml");
  problems.add(1, "a", std::string("\xFF\n") + std::string(10000, 'x'));
  const std::string message = problems.status().error().message;
  CHECK(message.substr(0, 16) == "f.toml:1: a: ??x");
  CHECK(message.size() < 600);
}
