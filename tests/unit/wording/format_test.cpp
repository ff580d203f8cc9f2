#include "wording/format.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

DisplaySettings metric() { return {}; }
DisplaySettings plato_fahrenheit() {
  DisplaySettings d;
  d.gravity = DisplaySettings::Gravity::plato;
  d.temperature = DisplaySettings::Temperature::fahrenheit;
  return d;
}

}  // namespace

TEST_CASE("gravity is shown as specific gravity or in degrees Plato") {
  CHECK(show_gravity(1.0484, metric()) == "1.048");
  CHECK(show_gravity(1.01164, metric(), 4) == "1.0116");
  // 12 degP has an apparent SG 20/20 of 1.04837: NBS Circular C440, table 114.
  CHECK(show_gravity(1.04837, plato_fahrenheit()) == "12.0 °P");
  CHECK(show_gravity_change(1.0, metric()) == "1 point");
  CHECK(show_gravity_change(0.4, metric()) == "0.4 points");
}

TEST_CASE("temperature is shown in the brewer's unit") {
  CHECK(show_temperature(18.0, metric()) == "18 °C");
  CHECK(show_temperature(18.25, metric()) == "18.3 °C");
  CHECK(show_temperature(-0.02, metric()) == "0 °C");
  // 20 degC = 68 degF by definition; a difference of 5 K is 9 degF.
  CHECK(show_temperature(20.0, plato_fahrenheit()) == "68 °F");
  CHECK(show_temperature_change(5.0, plato_fahrenheit()) == "9 °F");
  CHECK(show_temperature_range(16, 22, metric()) == "16 to 22 °C");
}

TEST_CASE("lengths of time read well") {
  CHECK(show_length(minutes(40)) == "40 min");
  CHECK(show_length(seconds(0)) == "a few seconds");
  CHECK(show_length(seconds(40)) == "40 s");
  CHECK(show_length(hours(5)) == "5 h");
  CHECK(show_length(hours(48)) == "48 h");
  CHECK(show_length(hours(72)) == "3 days");
  CHECK(show_length(-hours(24 * 9)) == "9 days");
}

TEST_CASE("how often something comes reads well") {
  CHECK(show_interval(seconds(3)) == "every few seconds");
  CHECK(show_interval(minutes(15)) == "every 15 min");
}

TEST_CASE("the year is shown when it differs, by the brewer's clock") {
  const auto at = [](const char* text) { return parse_rfc3339(text).value(); };
  DisplaySettings vienna;
  vienna.time_zone = "Europe/Vienna";
  const Time eve = at("2025-12-31T22:30:00Z"), night = at("2025-12-31T23:30:00Z"),
             now = at("2026-01-02T12:00:00Z");
  CHECK(show_time_from(eve, vienna, now) == "Wed 31 Dec 2025 23:30");
  CHECK(show_time_from(night, vienna, now) == "Thu 1 Jan 00:30");
}

TEST_CASE("a beer that has not fallen has no negative attenuation") {
  CHECK(show_attenuation(0.581) == "58 % attenuated");
  CHECK(show_attenuation(0.004) == "not yet fallen");
  CHECK(show_attenuation(-0.02) == "not yet fallen");
  CHECK(show_percent(-0.001) == "0 %");
}

TEST_CASE("times follow the brewer's time zone through daylight saving") {
  // European Union, Directive 2000/84/EC: summer time begins 01:00 UTC on the last Sunday of March (29 March
  // 2026).
  DisplaySettings berlin;
  berlin.time_zone = "Europe/Berlin";
  CHECK(show_time(parse_rfc3339("2026-03-29T00:30:00Z").value(), berlin) == "Sun 29 Mar 01:30");
  CHECK(show_time(parse_rfc3339("2026-03-29T01:30:00Z").value(), berlin) == "Sun 29 Mar 03:30");
  CHECK(show_time(parse_rfc3339("2026-03-01T18:30:00Z").value(), metric()) == "Sun 1 Mar 18:30");
  DisplaySettings lost;
  lost.time_zone = "Cellar/Shelf";
  CHECK(show_time(parse_rfc3339("2026-03-01T18:30:00Z").value(), lost) == "Sun 1 Mar 18:30");
}

TEST_CASE("times alone, weekdays and sizes are short") {
  DisplaySettings vienna;
  vienna.time_zone = "Europe/Vienna";
  const Time time = parse_rfc3339("2026-03-03T17:10:00Z").value();
  CHECK(show_clock(time, vienna) == "18:10");
  CHECK(show_weekday(time, vienna) == "Tuesday 18:10");
  CHECK(show_bytes(412.4e6) == "412 MB");
  CHECK(show_bytes(5.24e9) == "5.2 GB");
  CHECK(show_bytes(900) == "1 kB");
}

TEST_CASE("a day begins at local midnight, also around the change of the clocks") {
  const auto at = [](const char* text) { return parse_rfc3339(text).value(); };
  DisplaySettings display;
  CHECK(local_day(at("2026-03-03T17:10:00Z"), 0, display) == at("2026-03-03T00:00:00Z"));
  display.time_zone = "Europe/Vienna";  // clocks go forward on 29 March 2026 at 01:00 UTC
  CHECK(local_day(at("2026-03-28T23:30:00Z"), 0, display) == at("2026-03-28T23:00:00Z"));
  CHECK(local_day(at("2026-03-28T23:30:00Z"), 1, display) == at("2026-03-29T22:00:00Z"));
  // Santiago put its clocks forward at midnight: 7 September 2025 began at 01:00 local time, 04:00 UTC.
  display.time_zone = "America/Santiago";
  CHECK(local_day(at("2025-09-07T12:00:00Z"), 0, display) == at("2025-09-07T04:00:00Z"));
  display.time_zone = "no such zone";
  CHECK(local_day(at("2026-03-03T17:10:00Z"), 1, display) == at("2026-03-04T00:00:00Z"));
}

TEST_CASE("no confidence reaches 100 %") {
  CHECK(show_confidence(0.95) == "95 %");
  CHECK(show_confidence(0.99) == "99 %");
  CHECK(show_confidence(0.9999) == "more than 99 %");
  CHECK(show_confidence(1.0) == "more than 99 %");
}

// 20.8 L are 5.4948 US gal, 5.2 kg 11.464 lb, 28 g 0.98768 oz (NIST Handbook 44, appendix C).
TEST_CASE("volumes and masses are shown in the brewer's units") {
  DisplaySettings display;
  CHECK(show_volume(20.8, display) == "20.8 L");
  CHECK(show_mass(5.2, display) == "5.20 kg");
  CHECK(show_mass(0.028, display) == "28 g");
  CHECK(show_mass(0.0015, display) == "1.5 g");
  display.volume = DisplaySettings::Volume::us_gallons;
  CHECK(show_volume(20.8, display) == "5.49 gal");
  CHECK(show_mass(5.2, display) == "11.46 lb");
  CHECK(show_mass(0.028, display) == "0.99 oz");
}
