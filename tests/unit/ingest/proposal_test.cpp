#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "config/settings_file.h"
#include "ingest/decoder.h"

using namespace gyle;

namespace {

const Time kNow = parse_rfc3339("2026-03-01T18:30:00Z").value();

struct Row {
  const char* name;
  const char* topic;
  const char* payload;
  const char* sensor;
  std::vector<std::pair<Quantity, double>> readings;
};

}  // namespace

// The outside judge: pasted into a configuration, the proposal reads the very message it was made from.
TEST_CASE("a proposal, pasted, reads the message that it was made for") {
  const auto row = GENERATE(values<Row>({
      {"flat",
       "cellar/hydrometer-1/state",
       R"({"gravity":1.048,"temperature":18.5,"battery":3.7})",
       "hydrometer-1",
       {{Quantity::gravity, 1.048}, {Quantity::beer_temperature, 18.5}, {Quantity::battery, 3.7}}},
      {"nested",
       "cellar/state",
       R"({"id":"f 7","now":{"sg":1.05,"temp":{"c":18}},"room_temp":12})",
       "f 7",
       {{Quantity::gravity, 1.05}, {Quantity::beer_temperature, 18}, {Quantity::ambient_temperature, 12}}},
      {"other units",
       "a/b",
       R"({"device":"x","gravity":1048,"temp_f":64.4,"battery_mv":3700,"inclination":31.5})",
       "x",
       {{Quantity::gravity, 1.048},
        {Quantity::beer_temperature, 18},
        {Quantity::inclination, 31.5},
        {Quantity::battery, 3.7}}},
      {"plato and time",
       "a/b",
       R"({"serial":"x","plato":0,"time":1772389800})",
       "x",
       {{Quantity::gravity, 1.0}}},
      {"awkward keys",
       "a/b",
       R"({"name":"x","a/b~\"":{"gravity\\":1.05}})",
       "x",
       {{Quantity::gravity, 1.05}}},
      {"number", "probes/p1/temperature", "18.5", "p1", {{Quantity::beer_temperature, 18.5}}},
      {"equal keys", "a/b", R"({"id":"x","temp":6,"temp":64.4})", "x", {{Quantity::beer_temperature, 18}}},
      {"no level is an id", "/temperature", "18.5", "/temperature", {{Quantity::beer_temperature, 18.5}}},
      {"a number without a name", "attic/probe", "18.5", "probe", {{Quantity::beer_temperature, 18.5}}},
      {"a gravity without a name", "attic/pack", "1.048", "pack", {{Quantity::gravity, 1.048}}},
      {"a number in quotes", "probes/p1/temperature", "\"18.5\"", "p1", {{Quantity::beer_temperature, 18.5}}},
      {"numbers in quotes",
       "cellar/hydrometer-1/state",
       R"({"gravity":"1.048","temp":" 64.4 "})",
       "hydrometer-1",
       {{Quantity::gravity, 1.048}, {Quantity::beer_temperature, 18}}},
      {"value and unit",
       "cellar/probe-2/beer",
       R"({"value":64.4,"unit":"°F"})",
       "probe-2",
       {{Quantity::beer_temperature, 18}}},
      {"value and unit, nested",
       "cellar/7",
       R"({"gravity":{"value":12,"unit":"P"},"room":{"value":"12.5","unit":"C"},"wet":{"value":40,"unit":"%"}})",
       "7",
       {{Quantity::gravity, 1.04838}, {Quantity::ambient_temperature, 12.5}}},
      {"short names",
       "cellar/f1/state",
       R"({"sg":1.048,"t_f":64.4})",
       "f1",
       {{Quantity::gravity, 1.048}, {Quantity::beer_temperature, 18}}},
      {"humps", "cellar/f1/state", R"({"tempF":41})", "f1", {{Quantity::beer_temperature, 5}}},
      {"one level", "gravity", "1.048", "gravity", {{Quantity::gravity, 1.048}}},
      {"SenML",
       "x/y",
       R"([{"bn":"urn:dev:f:","n":"gravity","u":"/","v":1.048}])",
       "urn:dev:f",
       {{Quantity::gravity, 1.048}}},
  }));
  CAPTURE(row.name);
  const Message message{row.topic, row.payload, kNow};
  const std::string proposal = propose_source(message);
  CAPTURE(proposal);
  const auto settings = parse_settings(proposal, "proposal");
  if (!settings) FAIL(settings.error().message);
  const auto decoded = decode(message, settings.value().sources);
  CHECK(decoded.refusals.empty());
  REQUIRE(decoded.readings.size() == row.readings.size());
  for (const auto& [quantity, value] : row.readings) {
    CAPTURE(name(quantity));
    bool found = false;
    for (const Reading& reading : decoded.readings) {
      if (reading.quantity != quantity) continue;
      found = true;
      CHECK(reading.value == Approx(value).margin(2.5e-5));
      CHECK(reading.sensor == row.sensor);
    }
    CHECK(found);
  }
}

TEST_CASE("a time stamp in the message is proposed with its form") {
  struct TimeRow {
    const char* payload;
    const char* as;
  };
  const auto row = GENERATE(values<TimeRow>({{R"({"time":"2026-03-01T18:00:00Z","gravity":1.05})", "rfc3339"},
                                             {R"({"ts":1772388000,"gravity":1.05})", "epoch-s"},
                                             {R"({"timestamp":1772388000000,"gravity":1.05})", "epoch-ms"}}));
  CHECK_THAT(propose_source({"a/b", row.payload, kNow}), Catch::Contains(row.as));
}

TEST_CASE("a time stamp that would not be believed is not proposed") {
  for (const char* time : {"\"6655-03-01T18:00:00Z\"", "0", "1e300", "4102444800", "\"soon\"", "true"}) {
    CAPTURE(time);
    const std::string proposal =
        propose_source({"a/b", std::string(R"({"gravity":1.05,"time":)") + time + "}", kNow});
    CHECK_FALSE(proposal.empty());
    CHECK(proposal.find("\ntime = ") == std::string::npos);
  }
}

TEST_CASE("nothing is proposed for a payload without a reading") {
  for (const char* payload : {"", "hello", "{}", "[]", R"({"humidity":60})", R"({"gravity":"high"})",
                              R"({"gravity":1e5})", "1", "0", "60", "null", R"({"value":40,"unit":"%"})"}) {
    CAPTURE(payload);
    CHECK(propose_source({"a/b", payload, kNow}).empty());
  }
  CHECK(propose_source({"a/+", R"({"gravity":1.05})", kNow}).empty());
  CHECK(propose_source({"a/\n", R"({"gravity":1.05})", kNow}).empty());
}

// A neighbour may send something else: it gets a proposal of its own.
TEST_CASE("a proposal reads the topic that it was made for and no other") {
  for (const char* topic : {"attic/pack", "cellar/hydrometer-1/state", "attic/pack/temperature"}) {
    CAPTURE(topic);
    const auto settings = parse_settings(propose_source({topic, "18.5", kNow}), "proposal");
    REQUIRE(settings);
    REQUIRE(settings.value().sources.size() == 1);
    CHECK(settings.value().sources[0].filter == topic);
  }
}

TEST_CASE("a number that a proposal does not use is named") {
  const std::string proposal =
      propose_source({"a/b", R"({"gravity":1.05,"temp_c":18,"temp_f":64.4,"rssi":-70})", kNow});
  CHECK_THAT(proposal, Catch::Contains("# not used: /temp_f = 64.4, /rssi = -70"));
}
