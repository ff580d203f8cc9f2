#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <random>

#include "base/rfc3339.h"
#include "ingest/decoder.h"

using namespace gyle;

namespace {

const Time kNow = parse_rfc3339("2026-03-01T18:30:00Z").value();

std::vector<Source> every_kind_of_source() {
  Source json;
  json.filter = "json/+";
  json.format = Source::Format::json;
  json.sensor = SensorFromPointer{"/id"};
  json.fields = {{Quantity::gravity, "/g", Unit::plato},
                 {Quantity::inclination, "/a/0", Unit::radian},
                 {Quantity::beer_temperature, "/t", Unit::kelvin, 1e6, -1e6},
                 {Quantity::battery, "/b", Unit::millivolt}};
  json.time_format = TimeFormat::epoch_milliseconds;
  json.time_pointer = "/at";
  Source number;
  number.filter = "number/+";
  number.format = Source::Format::number;
  number.sensor = SensorFromLevel{1};
  number.fields = {{Quantity::ambient_temperature, "", Unit::fahrenheit}};
  Source senml;
  senml.filter = "#";
  return {json, number, senml};
}

// The promises about every reading, checked against limits written here a second time.
void check_promises(const Message& message, const Decoded& decoded) {
  for (const Reading& reading : decoded.readings) {
    REQUIRE(std::isfinite(reading.value));
    REQUIRE_FALSE(reading.sensor.empty());
    REQUIRE(reading.time >= message.received - days(60));
    REQUIRE(reading.time <= message.received + minutes(5));
    switch (reading.quantity) {
      case Quantity::gravity:
        REQUIRE((reading.value >= 0.98 && reading.value <= 1.2));
        break;
      case Quantity::beer_temperature:
      case Quantity::ambient_temperature:
        REQUIRE((reading.value >= -30 && reading.value <= 60));
        break;
      case Quantity::inclination:
        REQUIRE((reading.value >= 0 && reading.value <= 180));
        break;
      case Quantity::battery:
        REQUIRE((reading.value >= 0 && reading.value <= 30));
        break;
      case Quantity::sample:
        FAIL("a sample never comes over MQTT");
    }
  }
  REQUIRE(decoded.refusals.size() <= kRefusalsPerMessage);
  for (const Refusal& refusal : decoded.refusals) {
    REQUIRE(refusal.head.size() <= kRefusalHeadBytes);
    // The JSON library throws at anything that is not UTF-8.
    REQUIRE_NOTHROW(nlohmann::json{refusal.head, refusal.detail, refusal.sensor, refusal.topic}.dump());
  }
}

const std::pair<const char*, const char*> kGood[] = {
    {"senml/x",
     R"([{"bn":"urn:dev:f:","bt":1772389770,"n":"gravity","u":"/","v":1.048},{"n":"temperature","u":"Cel","v":18}])"},
    {"senml/x",
     R"([{"bn":"f/","n":"inclination","t":-60,"v":45},{"n":"battery","u":"mV","bv":3000,"v":700},{"n":"x","vs":"y"}])"},
    {"json/x", R"({"id":"f","at":1772389770123,"g":12.1,"a":[0.7,{"x":null}],"t":1.000291,"b":3700})"},
    {"number/x", "64.4"},
    {"number/x", " -1.25e1 "},
};
const char* const kTopics[] = {"json/x", "number/x", "senml/x", "json/\xFF", "$SYS/x", "number/"};
const char* const kPieces[] = {"1e999",  "-1e308",    "null",   "true",        "{",       "[",
                               "]",      "}",         ",",      "\"",          "\\u0000", "\\ud800",
                               "85",     "-127",      "1050",   "NaN",         "0",       "-0.0",
                               "1e-320", "268435456", "\"n\":", "\"bver\":11", "_"};

}  // namespace

TEST_CASE("any bytes on any topic: readings are plausible or there are none") {
  const auto seed = GENERATE(range(1u, 201u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto sources = every_kind_of_source();
  for (int i = 0; i < 50; ++i) {
    std::string bytes(random() % 120, '\0');
    for (char& c : bytes) c = static_cast<char>(random() % 256);
    Message message{kTopics[random() % std::size(kTopics)], bytes, kNow, random() % 4 == 0,
                    random() % 4 == 0};
    check_promises(message, decode(message, sources));
    static_cast<void>(propose_source(message));
  }
}

TEST_CASE("good messages, spoilt: readings are plausible or there are none") {
  const auto seed = GENERATE(range(1u, 401u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto sources = every_kind_of_source();
  std::size_t readings = 0;
  for (int i = 0; i < 100; ++i) {
    const auto& [fitting_topic, good] = kGood[random() % std::size(kGood)];
    std::string payload = good;
    for (unsigned changes = random() % 4; changes > 0 && !payload.empty(); --changes) {
      const std::size_t at = random() % payload.size();
      switch (random() % 4) {
        case 0:
          payload[at] = static_cast<char>(random() % 256);
          break;
        case 1:
          payload.erase(at, 1 + random() % 8);
          break;
        case 2:
          payload.insert(at, kPieces[random() % std::size(kPieces)]);
          break;
        default:
          payload.replace(at, 1 + random() % 6, kPieces[random() % std::size(kPieces)]);
      }
    }
    const char* topic = random() % 4 == 0 ? kTopics[random() % std::size(kTopics)] : fitting_topic;
    const Message message{topic, payload, kNow, random() % 8 == 0, random() % 4 == 0};
    const auto decoded = decode(message, sources);
    check_promises(message, decoded);
    readings += decoded.readings.size();
    static_cast<void>(propose_source(message));
  }
  CHECK(readings > 0);  // else the test would show nothing
}

TEST_CASE("decoding twice gives the same") {
  const auto sources = every_kind_of_source();
  for (const auto& good : kGood) {
    for (const char* topic : kTopics) {
      const Message message{topic, good.second, kNow};
      const auto first = decode(message, sources);
      const auto second = decode(message, sources);
      REQUIRE(first.readings.size() == second.readings.size());
      for (std::size_t i = 0; i < first.readings.size(); ++i) {
        CHECK(first.readings[i].value == second.readings[i].value);
        CHECK(first.readings[i].time == second.readings[i].time);
      }
    }
  }
}
