#include "wording/status_lines.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

BatchSpec amber() {
  BatchSpec batch;
  batch.name = "Amber no. 12, second run";
  batch.pitched = at("2026-03-01T18:30:00Z");
  batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
  return batch;
}

BatchView fermenting() {
  BatchView view;
  view.time = at("2026-03-03T12:00:00Z");
  view.stage = Stage::active;
  view.gravity = Interval{1.0302, 1.0298, 1.0306};
  view.temperature = Celsius{18.4};
  view.attenuation = 0.371;
  view.forecast.step = 1;
  view.forecast.step_time =
      TimeInterval{at("2026-03-05T20:00:00Z"), at("2026-03-05T15:00:00Z"), at("2026-03-06T01:00:00Z")};
  view.forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
  view.forecast.final_time =
      TimeInterval{at("2026-03-10T20:00:00Z"), at("2026-03-07T20:00:00Z"), at("2026-03-13T20:00:00Z")};
  return view;
}

using Lines = std::array<std::string, 3>;

Lines lines(const BatchView& view, const DisplaySettings& display = {}) {
  return status_lines("left", amber(), view, display, at("2026-03-03T12:00:00Z"));
}

std::size_t characters(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(
      text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xc0) != 0x80; }));
}

}  // namespace

TEST_CASE("a fermenting batch shows its state and what comes next") {
  CHECK(lines(fermenting()) == Lines{"left: Amber no. 12, second run, day 2",
                                     "fermenting, 1.0302 ± 0.0004, 18.4 °C, 37 %",
                                     "hold 1 over Thu 5 Mar 20:00 ± 5 h"});
}

TEST_CASE("the brewer's units and time zone are used") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.time_zone = "America/New_York";
  // 1.0302 is 7.59 degP, one degree Plato about 4 points there: NBS Circular C440, table 114.
  CHECK(lines(fermenting(), display) == Lines{"left: Amber no. 12, second run, day 2",
                                              "fermenting, 7.6 ± 0.1 °P, 65.1 °F, 37 %",
                                              "hold 1 over Thu 5 Mar 15:00 ± 5 h"});
}

TEST_CASE("the third line says what matters most") {
  BatchView view = fermenting();
  SECTION("the last hold waits for the end, so the end is shown") {
    view.forecast.step = 2;
    CHECK(lines(view)[2] == "ends at 1.012 Tue 10 Mar 20:00 ± 3 days");
  }
  SECTION("no plan left") {
    view.forecast.step.reset();
    view.forecast.step_time.reset();
    CHECK(lines(view)[2] == "ends at 1.012 Tue 10 Mar 20:00 ± 3 days");
  }
  SECTION("nothing known") {
    view.forecast = {};
    CHECK(lines(view)[2] == "too early to say when it ends");
  }
  SECTION("before the first reading") {
    CHECK(lines(BatchView{})[1] == "not started");
    CHECK(lines(BatchView{})[2] == "no gravity reading yet");
  }
  SECTION("stable") {
    view.final_gravity_since = at("2026-03-12T18:30:00Z");
    CHECK(lines(view)[2] == "final gravity stable since Thu 12 Mar 18:30");
  }
  SECTION("no longer known, however near its end it was") {
    view.known = at("2026-02-23T18:20:00Z");
    view.current_until = at("2026-02-24T00:20:00Z");
    CHECK(lines(view)[2] == "as of Mon 23 Feb 18:20: nothing newer");
    view.final_gravity_since = at("2026-02-22T18:30:00Z");
    CHECK(lines(view)[2] == "as of Mon 23 Feb 18:20: nothing newer");
    view.current_until = at("2026-03-03T13:00:00Z");
    CHECK(lines(view)[2] == "final gravity stable since Sun 22 Feb 18:30");
  }
  SECTION("risen a little above where it began") {
    view.attenuation = -0.02;
    CHECK(lines(view)[1] == "fermenting, 1.0302 ± 0.0004, 18.4 °C");
  }
  SECTION("stuck") {
    view.stage = Stage::stuck;
    CHECK(lines(view)[2] == "stopped early: see its alerts");
  }
  SECTION("no sensor reports any more") {
    SensorHealth health;
    health.sensor = "hydrometer";
    health.last_heard = at("2026-03-03T06:00:00Z");
    health.silent = true;
    view.sensors = {health};
    CHECK(lines(view)[2] == "no sensor heard for 6 h");
    health.silent = false;
    view.sensors.push_back(health);
    CHECK(lines(view)[2] == "hold 1 over Thu 5 Mar 20:00 ± 5 h");
  }
}

TEST_CASE("the lines fit the terminal of a phone, whatever they hold") {
  BatchSpec batch = amber();
  BatchView view = fermenting();
  const std::string vessel =
      GENERATE(std::string("left"), std::string(500, 'v'), std::string("\x1b[2J\n\xff\xf0"));
  batch.name =
      GENERATE(std::string("x"), std::string(500, 'n'),
               std::string("äöü ßäöü ßäöü ßäöü ßäöü ßäöü ßäöü ßäöü ßäöü ß"), std::string("an\nother\x1b"));
  view.stage = GENERATE(Stage::lag, Stage::active, Stage::stuck);
  view.temperature = Celsius{GENERATE(-10.5, 100.4, 1e9, std::numeric_limits<double>::quiet_NaN())};
  view.gravity->high = GENERATE(1.0306, 9.0);
  view.forecast.step_time->high =
      GENERATE(at("2026-03-06T12:26:40Z"), at("5138-11-16T09:46:40Z"), Time::max());
  DisplaySettings display;
  display.gravity = GENERATE(DisplaySettings::Gravity::specific_gravity, DisplaySettings::Gravity::plato);
  for (const std::string& line : status_lines(vessel, batch, view, display, at("2030-03-03T12:00:00Z"))) {
    CAPTURE(line);
    CHECK(characters(line) <= kStatusColumns);
    CHECK_FALSE(line.empty());
    CHECK(line.find_first_of("\n\x1b\xff\xf0") == std::string::npos);
  }
}

TEST_CASE("a long name is cut before the day, wide characters count twice") {
  BatchSpec batch = amber();
  batch.name = "A name that goes on for longer than any phone is wide";
  const std::string line = status_lines("left", batch, {}, {}, at("2026-03-03T12:00:00Z"))[0];
  CHECK(line == "left: A name that goes on for longer…, day 2");
  batch.name.clear();
  for (int i = 0; i < 40; ++i) batch.name += "麦";
  const std::string wide = status_lines("left", batch, {}, {}, at("2026-03-03T12:00:00Z"))[0];
  CHECK(characters(wide) <= 6 + 15 + 1 + 7);
}
