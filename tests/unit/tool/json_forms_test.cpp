// What --json shows of what is else a table or lines.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "csv_json.h"
#include "message_lines.h"

using namespace gyle;
using nlohmann::json;

TEST_CASE("rows of a CSV become objects, numbers as numbers and texts as they are") {
  const json rows = json::parse(rows_as_json("time,sensor,value,text,temperature\r\n"
                                             "2026-03-01T18:30:00Z,12,1.048,\"40, \"\"or\"\" so\",\r\n"
                                             "2026-03-01T18:45:00Z,hydrometer,1e-3,,18.5\r\n")
                                    .value());
  REQUIRE(rows.size() == 2);
  CHECK(rows[0] == json{{"time", "2026-03-01T18:30:00Z"},
                        {"sensor", "12"},
                        {"value", 1.048},
                        {"text", "40, \"or\" so"},
                        {"temperature", nullptr}});
  CHECK(rows[1]["value"] == 0.001);
  CHECK(rows[1]["text"] == "");
  CHECK(json::parse(rows_as_json("a,b\r\n").value()) == json::array());
  CHECK(rows_as_json("a,b\r\n1\r\n").error().code == Errc::malformed);
}

TEST_CASE("a message is one line of JSON with what is understood of it and what is not") {
  Message message;
  message.topic = "cellar/hydrometer";
  message.payload = R"([{"bn":"hydrometer:","n":"gravity","v":1.048},{"n":"gravity","v":7}])";
  message.received = parse_rfc3339("2026-03-01T18:30:00Z").value();
  Source source;
  source.filter = "cellar/#";
  const std::string line = message_json(message, std::vector{source});
  CHECK(line.find('\n') == line.size() - 1);
  const json shown = json::parse(line);
  CHECK(shown["topic"] == "cellar/hydrometer");
  REQUIRE(shown["readings"].size() == 1);
  CHECK(shown["readings"][0]["quantity"] == "gravity");
  CHECK(shown["readings"][0]["value"] == 1.048);
  REQUIRE(shown["refusals"].size() == 1);
  CHECK(shown["refusals"][0].contains("reason"));
}
