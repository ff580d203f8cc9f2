#include "wording/sensor_lines.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"
#include "wording/format.h"

using namespace gyle;

namespace {

using Lines = std::vector<std::string>;

Time at(const char* text) { return parse_rfc3339(text).value(); }
const Time kNow = at("2026-03-03T12:00:00Z");

SensorStory swimming() {
  const Time heard = at("2026-03-03T11:55:00Z");
  SensorStory story{"hydrometer", "left", "Amber no. 12", {}, {}, {}};
  story.newest = {{heard, "hydrometer", Quantity::gravity, 1.0205},
                  {heard, "hydrometer", Quantity::beer_temperature, 18.4},
                  {heard, "hydrometer", Quantity::battery, 3.92}};
  SensorHealth health;
  health.sensor = "hydrometer";
  health.last_heard = heard;
  health.usual_interval = minutes(15);
  health.battery_v = 3.92;
  health.battery_days = Interval{12.2, 9.4, 16};
  health.arrived_share = 0.98;
  health.longest_gap = minutes(30);
  story.health = health;
  return story;
}

Lines lines(const SensorStory& story, const DisplaySettings& display = {}) {
  return sensor_lines(story, display, kNow);
}

}  // namespace

TEST_CASE("a sensor without faults has two lines") {
  CHECK(lines(swimming()) ==
        Lines{"hydrometer in left (Amber no. 12): heard 5 min ago, usually every 15 min",
              "  gravity 1.0205, beer 18.4 °C, battery 3.92 V, about 12 days left (at least 9 days) if it "
              "falls on like this"});
}

TEST_CASE("its values are shown in the brewer's units, old ones with their time") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.time_zone = "America/New_York";
  SensorStory story = swimming();
  story.newest[0].time = at("2026-03-02T20:00:00Z");
  story.newest.push_back({*story.health->last_heard, "hydrometer", Quantity::inclination, 43.21});
  story.health->battery_days.reset();
  CHECK(lines(story, display)[1] ==
        "  gravity " + show_gravity(1.0205, display, 4) +
            " (Mon 2 Mar 15:00), beer 65.1 °F, battery 3.92 V, inclination 43.2°");
}

TEST_CASE("a calibrated sensor shows what its inclination means, or why it means nothing") {
  SensorStory story = swimming();
  story.newest.push_back({*story.health->last_heard, "hydrometer", Quantity::inclination, 35.0});
  story.health->battery_days.reset();
  story.curve = CalibrationCurve{{{0.950, 0.002, 0, 0}}, 23, 47};  // 0.002 a degree, 1.020 at 35
  CHECK_THAT(lines(story)[1], Catch::Contains("gravity 1.0205 (its own, not used), beer") &&
                                  Catch::Contains("inclination 35.0° (gravity 1.0200 by its calibration)"));
  story.newest.back().value = 47.4;
  CHECK_THAT(lines(story)[1],
             Catch::Contains("inclination 47.4° (outside its calibration, 23.0° to 47.0°: no gravity)"));
}

TEST_CASE("a hydrometer that sends only its inclination shows that it needs a calibration") {
  SensorStory story = swimming();
  story.newest = {{*story.health->last_heard, "hydrometer", Quantity::inclination, 35.0}};
  CHECK(lines(story)[1] == "  inclination 35.0° (means no gravity before it is calibrated)");
}

TEST_CASE("a battery's forecast says no more than is known") {
  struct Row {
    Interval days;
    const char* words;
  };
  const auto row = GENERATE(values<Row>({{{90, 70, 120}, "3.92 V, more than 60 days left"},
                                         {{90, 50, 190}, "about 90 days left (at least 50 days) if it"},
                                         {{1.5, 1.2, 2}, "about 36 h left (at least 29 h) if it"},
                                         {{5.2, 4.9, 5.4}, "about 5 days left"},
                                         {{0.01, 0, 0.5}, "as good as empty"}}));
  SensorStory story = swimming();
  story.health->battery_days = row.days;
  CHECK_THAT(lines(story)[1], Catch::Contains(row.words));
}

TEST_CASE("its faults have a line of their own") {
  SensorStory story = swimming();
  SensorHealth& health = *story.health;
  SECTION("silent, its battery low: no gaps beside that") {
    health.last_heard = at("2026-03-03T06:00:00Z");
    health.silent = true;
    health.battery_low = true;
    health.arrived_share = 0.7;
    CHECK(lines(story)[2] == "  silent; charge or change its battery");
  }
  SECTION("gaps") {
    health.arrived_share = 0.82;
    health.longest_gap = hours(3);
    CHECK(lines(story)[2] == "  of its messages 82 % arrived over the last day, the longest gap 3 h");
  }
  SECTION("clock and value") {
    health.frozen = true;
    health.implausible = true;
    CHECK(lines(story)[2] == "  shows the same gravity all the time; reports what cannot be true");
    health.clock_off = -hours(5);
    CHECK(lines(story)[2] == "  shows the same gravity all the time; its clock is 5 h behind");
  }
  SECTION("refused lately") {
    story.refused = Refusal{at("2026-03-03T11:40:00Z"),
                            RefusalReason::bad_time,
                            "t",
                            "hydrometer",
                            "stamped 1970-01-01T00:10:00Z, but it arrived later; set the sensor's clock",
                            ""};
    CHECK(lines(story)[2] ==
          "  refused Tue 3 Mar 11:40: stamped 1970-01-01T00:10:00Z, but it arrived later; set the sensor's "
          "clock");
    story.refused->received = at("2026-02-20T11:40:00Z");
    CHECK(lines(story).size() == 2);
  }
}

TEST_CASE("a sensor of no batch shows when it was heard and its values") {
  SensorStory story = swimming();
  story.vessel.clear();
  story.batch.clear();
  story.health.reset();
  CHECK(lines(story) ==
        Lines{"hydrometer in no vessel: heard 5 min ago", "  gravity 1.0205, beer 18.4 °C, battery 3.92 V"});
  story.vessel = "right";
  CHECK(lines(story)[0] == "hydrometer in right, which holds no batch: heard 5 min ago");
  story.newest = {{at("2029-01-01T00:00:00Z"), "hydrometer", Quantity::gravity, 1.05}};
  CHECK(lines(story)[0] == "hydrometer in right, which holds no batch: not heard yet");
}

TEST_CASE("a terminal is safe from whatever a sensor sends") {
  SensorStory story = swimming();
  story.sensor = "\x1b[2J\xff";
  story.newest[0].value = std::numeric_limits<double>::quiet_NaN();
  story.health->battery_days = Interval{1e300, 1, std::numeric_limits<double>::infinity()};
  story.health->longest_gap = Duration::max();
  story.health->arrived_share = 0.1;
  for (const std::string& line : lines(story)) {
    CHECK(line.find_first_of("\x1b\xff\n") == std::string::npos);
  }
}
