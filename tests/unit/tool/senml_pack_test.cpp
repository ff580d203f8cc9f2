#include "senml_pack.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "ingest/decoder.h"

using namespace gyle;

namespace {

RehearsedMessage message(const std::string& sensor) {
  const Time stamp = parse_rfc3339("2026-03-01T18:36:00.250Z").value();
  return {stamp,
          stamp,
          sensor,
          {{stamp, sensor, Quantity::gravity, 1.0494},
           {stamp, sensor, Quantity::beer_temperature, 19.9},
           {stamp, sensor, Quantity::ambient_temperature, -1.5},
           {stamp, sensor, Quantity::inclination, 31.4},
           {stamp, sensor, Quantity::battery, 4.1}}};
}

}  // namespace

// Form: RFC 8428, section 5.1.2: base name and base time in the first record only.
TEST_CASE("a message is a SenML pack") {
  RehearsedMessage two = message("hydrometer");
  two.readings.resize(2);
  two.stamp = two.readings[0].time = two.readings[1].time = parse_rfc3339("2026-03-01T18:36:00Z").value();
  CHECK(
      senml_pack(two) ==
      R"([{"bn":"hydrometer:","bt":1772390160.0,"n":"gravity","v":1.0494},{"n":"beer_temperature","u":"Cel","v":19.9}])");
}

TEST_CASE("the daemon reads from the pack what the sensor measured") {
  const std::string sensor = GENERATE("hydrometer", "urn:dev:mac:0024befffe804ff1", "left/hydrometer.1");
  const RehearsedMessage sent = message(sensor);
  Source source;
  source.filter = "#";
  const Decoded decoded =
      decode({.topic = "t", .payload = senml_pack(sent), .received = sent.delivered}, std::span(&source, 1));
  CHECK(decoded.refusals.empty());
  REQUIRE(decoded.readings.size() == sent.readings.size());
  for (std::size_t i = 0; i < sent.readings.size(); ++i) {
    CHECK(decoded.readings[i].quantity == sent.readings[i].quantity);
    CHECK(decoded.readings[i].value == Approx(sent.readings[i].value).epsilon(1e-12));
    CHECK(decoded.readings[i].time == sent.readings[i].time);
    CHECK(decoded.readings[i].sensor == sensor);
  }
}
