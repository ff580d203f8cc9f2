#include "reports/ending_json.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace gyle;

namespace {

Time at(int ms) { return Time(Duration(ms)); }

// Every member differs from what it is by default.
BatchEnding full() {
  BatchEnding ending;
  BatchView& view = ending.view;
  view.time = Time(Duration(1'772'000'000'123));
  view.stage = Stage::finished;
  view.gravity = Interval{1.01, 1.009, 1.0 / 3};
  view.original_gravity = 1.048;
  view.original_gravity_inferred = true;
  view.offset = PointsInterval{{0.1}, {-1e-300}, {2}};
  view.rate_points_per_day = -0.0;
  view.temperature = Celsius{18.25};
  view.attenuation = 0.75;
  view.started = Time(Duration(5));
  view.final_gravity_since = Time(Duration(-7));
  view.holds_over = 3;
  view.forecast = {Time(Duration(9)),
                   Interval{1, 2, 3},
                   TimeInterval{at(4), at(5), at(6)},
                   2,
                   TimeInterval{at(7), at(8), at(9)},
                   true};
  SensorHealth health;
  health.sensor = "hydrometer \"1\" \xc3\xa4";
  health.last_heard = Time(Duration(11));
  health.battery_days = Interval{10, 9, 11};
  health.battery_low = health.frozen = true;
  view.sensors = {health, {}};
  view.reasons = {{Finding::slower, {{"one", 1.5}, {"two", 2}}, "hydrometer"}, {}};
  ending.run = YeastRun{1.048, 1.011, 0.77, 0.5, 9.25, std::nullopt, 41.5};
  return ending;
}

}  // namespace

TEST_CASE("an ending is read back as it was written") {
  const std::string text = ending_json(full());
  const auto read = parse_ending(text);
  REQUIRE(read);
  CHECK(ending_json(read.value()) == text);
  const BatchView& view = read.value().view;
  CHECK(view.time == full().view.time);
  CHECK(view.stage == Stage::finished);
  CHECK(view.gravity->high == 1.0 / 3);
  CHECK(view.offset->low.value == -1e-300);
  CHECK(view.holds_over == 3);
  CHECK(view.forecast.step == 2);
  CHECK(view.sensors.at(0).sensor == "hydrometer \"1\" \xc3\xa4");
  CHECK(view.sensors.at(0).frozen);
  CHECK_FALSE(view.sensors.at(0).silent);
  CHECK(view.reasons.at(0).finding == Finding::slower);
  CHECK(view.reasons.at(0).numbers == Evidence{{"one", 1.5}, {"two", 2}});
  CHECK(read.value().run->lag_days == 0.5);
  CHECK_FALSE(read.value().run->celsius);

  const auto empty = parse_ending(ending_json({}));
  REQUIRE(empty);
  CHECK_FALSE(empty.value().run);
  CHECK_FALSE(empty.value().view.gravity);
}

TEST_CASE("unknown values stay unknown") {
  BatchEnding ending;
  ending.view.temperature = Celsius{std::nan("")};
  CHECK(std::isnan(parse_ending(ending_json(ending)).value().view.temperature->value));
}

TEST_CASE("an ending of an older version, or a damaged one, is refused") {
  const std::string text = ending_json(full());
  for (const char* name : {"\"stage\"", "\"run\"", "\"frozen\"", "\"final_time\"", "\"celsius\""}) {
    CAPTURE(name);
    std::string changed = text;
    changed.replace(changed.find(name), 2, "\"x");
    CHECK(parse_ending(changed).error().code == Errc::malformed);
  }
  for (const char* wrong : {"", "{}", "[]", "null", "7", "{\"run\": null, \"view\": null}"}) {
    CHECK_FALSE(parse_ending(wrong));
  }
  std::string huge = text;
  huge.replace(huge.find("1772000000123"), 13, "1e300");
  CHECK_FALSE(parse_ending(huge));
}
