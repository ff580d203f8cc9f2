#include "wording/digest.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }
const Time kNow = at("2026-03-03T12:00:00Z");

DigestEntry fermenting() {
  DigestEntry entry;
  entry.vessel = "left";
  entry.batch.name = "Amber no. 12";
  entry.batch.pitched = at("2026-03-01T18:30:00Z");
  entry.batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
  BatchView& view = entry.view;
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
  return entry;
}

std::string text(const DigestEntry& entry, const DisplaySettings& display = {}) {
  return digest_text(std::span(&entry, 1), kNow, display);
}

}  // namespace

TEST_CASE("each batch has two lines under a heading") {
  CHECK(
      text(fermenting()) ==
      "Your beer on Tue 3 Mar 12:00:\n"
      "Amber no. 12, in left: fermenting, day 2, gravity 1.0302 ± 0.0004, 37 % attenuated, 18.4 °C.\n"
      "  Next: hold 1 is over about Thu 5 Mar 20:00, in 8 of 10 cases between Thu 5 Mar 15:00 and Fri 6 Mar "
      "01:00, then 22 °C.");
  const std::vector<DigestEntry> two{fermenting(), fermenting()};
  const std::string both = digest_text(two, kNow, {});
  CHECK(std::count(both.begin(), both.end(), '\n') == 4);
}

TEST_CASE("a digest without batches says so") {
  CHECK(digest_text({}, kNow, {}) == "Nothing is fermenting in any vessel (Tue 3 Mar 12:00).");
}

TEST_CASE("the second line says what comes next, or what is wrong") {
  DigestEntry entry = fermenting();
  SECTION("the end, when the plan waits for it") {
    entry.view.forecast.step = 2;
    CHECK(text(entry).find(
              "\n  Next: its final gravity of about 1.012 is reached about Tue 10 Mar 20:00, in 8 of 10 "
              "cases between Sat 7 Mar and Fri 13 Mar.") != std::string::npos);
  }
  SECTION("reached") {
    entry.view.final_gravity_since = at("2026-03-02T10:00:00Z");
    CHECK(text(entry).find(": finished, day 2") != std::string::npos);
    CHECK(text(entry).find("\n  Ready to package: final gravity reached Mon 2 Mar 10:00.") !=
          std::string::npos);
  }
  SECTION("stuck") {
    entry.view.stage = Stage::stuck;
    CHECK(text(entry).find("heater that has its own cut-out") != std::string::npos);
    CHECK(text(entry).find("Do not bottle it.") != std::string::npos);
  }
  SECTION("silent for days") {
    entry.view.known = at("2026-02-27T08:00:00Z");
    entry.view.current_until = at("2026-02-27T14:00:00Z");
    for (const bool ended : {false, true}) {
      if (ended) entry.view.final_gravity_since = at("2026-02-26T10:00:00Z");
      const std::string words = text(entry);
      CAPTURE(words);
      CHECK(words.find("37 % attenuated, all as of Fri 27 Feb 08:00, 18.4 °C") != std::string::npos);
      CHECK(words.find("\n  Nothing newer is known, so what comes next cannot be said") != std::string::npos);
      CHECK(words.find("Ready") == std::string::npos);
    }
  }
  SECTION("no gravity yet") {
    entry.view = {};
    CHECK(text(entry).find(": not started, day 2, gravity unknown.\n  No gravity has been received yet") !=
          std::string::npos);
  }
  SECTION("nothing is known, and the forecast is not a time") {
    entry.view.forecast = {};
    CHECK(text(entry).find("\n  Too early to say") != std::string::npos);
    entry.view.forecast.final_time = TimeInterval{Time::max(), Time::min(), Time::max()};
    CHECK(text(entry).find("\n  Too early to say") != std::string::npos);
  }
  SECTION("sensors") {
    SensorHealth silent, odd, fine;
    silent.sensor = "hydrometer-1";
    silent.last_heard = at("2026-03-03T02:00:00Z");
    silent.silent = true;
    odd.sensor = "probe";
    odd.frozen = odd.implausible = true;
    fine.sensor = "fine";
    SensorHealth old = fine;
    old.sensor = "hydrometer-2";
    old.battery_low = true;
    old.battery_days = Interval{6, 4, 9};
    SensorHealth early = fine;
    early.sensor = "hydrometer-3";
    early.implausible = true;
    early.clock_off = -hours(3);
    entry.view.sensors = {silent, odd, fine, old, early};
    const std::string words = text(entry);
    CAPTURE(words);
    CHECK(words.find(
              " Trouble: hydrometer-1 silent since Tue 3 Mar 02:00; probe shows the same value all the "
              "time, reports what "
              "cannot be true; hydrometer-2 battery good for about 6 days; hydrometer-3 clock 3 h behind.") !=
          std::string::npos);
    CHECK(text(entry).find("fine") == std::string::npos);
  }
}

TEST_CASE("the digest uses the brewer's units and time zone") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.time_zone = "America/Chicago";
  const std::string words = text(fermenting(), display);
  CAPTURE(words);
  CHECK(words.find("Tue 3 Mar 06:00:") != std::string::npos);
  CHECK(words.find("7.6 ± 0.1 °P") != std::string::npos);
  CHECK(words.find("65.1 °F") != std::string::npos);
  CHECK(words.find("then 71.6 °F") != std::string::npos);
}
