#include "replay/readings_csv.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/rfc3339.h"

using namespace gyle;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

const std::string kHeader = "time,sensor,quantity,value\n";

// The file in pieces of `piece` bytes.
Result<std::vector<Reading>> read(const std::string& text, std::size_t piece = 1u << 20) {
  ReadingsCsv csv("readings.csv");
  std::vector<Reading> readings;
  for (std::size_t at = 0; at < text.size(); at += piece) {
    BOOST_OUTCOME_TRYV(csv.feed(text.substr(at, piece), readings));
  }
  BOOST_OUTCOME_TRYV(csv.finish(readings));
  return readings;
}

}  // namespace

TEST_CASE("rows become readings in order of delivery, however the file is cut") {
  const std::string text =
      "time,sensor,quantity,value\r\n"
      "2026-03-01T20:00:00Z,hydrometer 1,gravity,1.0478\r\n"
      "\"2026-03-01T19:00:00+00:00\",\"a \"\"b\"\", c\",beer_temperature,-1.5e0\n"
      "\n"
      "2009-01-01T00:00:00Z,hydrometer 1,battery,3.9";
  const std::size_t piece = GENERATE(1u, 2u, 3u, 7u, 1000u);
  CAPTURE(piece);
  const auto readings = read(text, piece);
  REQUIRE(readings);
  REQUIRE(readings.value().size() == 3);
  CHECK(readings.value()[0].time == parse_rfc3339("2026-03-01T20:00:00Z").value());
  CHECK(readings.value()[0].sensor == "hydrometer 1");
  CHECK(readings.value()[0].quantity == Quantity::gravity);
  CHECK(readings.value()[0].value == 1.0478);
  CHECK(readings.value()[1].time == parse_rfc3339("2026-03-01T19:00:00Z").value());
  CHECK(readings.value()[1].sensor == "a \"b\", c");
  CHECK(readings.value()[1].value == -1.5);
  CHECK(readings.value()[2].quantity == Quantity::battery);
}

TEST_CASE("a header alone is a file without readings") {
  CHECK(read("time,sensor,quantity,value").value().empty());
  CHECK(read(kHeader).value().empty());
}

TEST_CASE("an impossible value is still a number") {
  const auto readings =
      read(kHeader + "2026-03-01T20:00:00Z,s,gravity,nan\n2026-03-01T20:00:00Z,s,gravity,-inf\n");
  REQUIRE(readings);
  CHECK(std::isnan(readings.value()[0].value));
  CHECK(std::isinf(readings.value()[1].value));
}

TEST_CASE("a malformed file is refused with its line and the expected form") {
  const std::string good = "2026-03-01T20:00:00Z,s,gravity,1.048\n";
  struct Row {
    const char* name;
    std::string text;
    const char* where;
    const char* what;
  };
  const auto row = GENERATE_REF(values<Row>({
      {"empty file", "", "readings.csv:1: ", "time,sensor,quantity,value"},
      {"another header", "time,sensor,value\n", "readings.csv:1: ", "must be exactly"},
      {"header with spaces", "time, sensor, quantity, value\n", "readings.csv:1: ", "must be exactly"},
      {"no header", good, "readings.csv:1: ", "must be exactly"},
      {"field too few", kHeader + good + "2026-03-01T20:00:00Z,s,gravity\n", "readings.csv:3: ", "3 fields"},
      {"field too many", kHeader + good + good + "2026-03-01T20:00:00Z,s,gravity,1.048,\n",
       "readings.csv:4: ", "5 fields"},
      {"decimal comma", kHeader + "2026-03-01T20:00:00Z,s,gravity,1,048\n", "readings.csv:2: ", "5 fields"},
      {"time without zone", kHeader + "2026-03-01T20:00:00,s,gravity,1.048\n",
       "readings.csv:2: ", "RFC 3339"},
      {"no sensor", kHeader + "2026-03-01T20:00:00Z,,gravity,1.048\n", "readings.csv:2: ", "sensor"},
      {"unknown quantity", kHeader + "2026-03-01T20:00:00Z,s,weight,1.048\n", "readings.csv:2: ", "'weight'"},
      {"no number", kHeader + "2026-03-01T20:00:00Z,s,gravity,\n", "readings.csv:2: ", "not a number"},
      {"number with unit", kHeader + "2026-03-01T20:00:00Z,s,gravity,1.048 SG\n",
       "readings.csv:2: ", "not a number"},
      {"line of a row after quoted breaks", kHeader + "2026-03-01T20:00:00Z,\"a\nb\",gravity,1.048\n" + "x\n",
       "readings.csv:4: ", "1 fields"},
      {"quote in the middle", kHeader + "2026-03-01T20:00:00Z,a\"b,gravity,1.048\n",
       "readings.csv:2: ", "quote"},
      {"text after a quote", kHeader + "2026-03-01T20:00:00Z,\"a\"b,gravity,1.048\n",
       "readings.csv:2: ", "closing quote"},
      {"open quote at the end", kHeader + good + "2026-03-01T20:00:00Z,\"a,gravity,1.048\n",
       "readings.csv:3: ", "quoted field"},
      {"lone carriage return", kHeader + "2026-03-01T20:00:00Z,s,gravity,1.048\r" + good,
       "readings.csv:2: ", "carriage return"},
      {"endless row", kHeader + std::string(100000, 'x'), "readings.csv:2: ", "longer"},
  }));
  CAPTURE(row.name);
  const std::size_t piece = GENERATE(1u, 1000u);
  const auto readings = read(row.text, piece);
  REQUIRE_FALSE(readings);
  CHECK(readings.error().code == Errc::malformed);
  CHECK_THAT(readings.error().message, StartsWith(row.where) && Contains(row.what));
}

TEST_CASE("control characters of a file do not reach the message") {
  const auto readings = read(kHeader + "\x1b[2J,s,gravity,1.048\n");
  REQUIRE_FALSE(readings);
  CHECK(readings.error().message.find('\x1b') == std::string::npos);
}
