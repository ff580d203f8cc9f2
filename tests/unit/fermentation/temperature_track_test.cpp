#include "fermentation/temperature_track.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace gyle;

TEST_CASE("the values of a disconnected probe are no temperatures") {
  CHECK_FALSE(TemperatureTrack::plausible(Celsius{85.0}));
  CHECK_FALSE(TemperatureTrack::plausible(Celsius{-127.0}));
  CHECK_FALSE(TemperatureTrack::plausible(Celsius{std::numeric_limits<double>::quiet_NaN()}));
  CHECK(TemperatureTrack::plausible(Celsius{-1.5}));
}

TEST_CASE("one outlier is refused, even if delivered twice; a second one like it confirms it") {
  TemperatureTrack track;
  for (int i = 0; i < 20; ++i) track.offer(0.25 * i, Celsius{18}, 0);
  CHECK_FALSE(track.offer(5.0, Celsius{30}, 0));
  CHECK_FALSE(track.offer(5.0, Celsius{30}, 0));
  CHECK(track.value()->value == Approx(18));
  CHECK(track.offer(5.25, Celsius{30.2}, 0));
  CHECK(track.value()->value > 25);
}

TEST_CASE("a lasting change of temperature is detected, with the mean before") {
  TemperatureTrack track;
  for (int i = 0; i < 48; ++i) track.offer(i, Celsius{18 + 0.2 * std::sin(i)}, 0);
  CHECK_FALSE(track.last_change().has_value());
  for (int i = 48; i < 72; ++i) track.offer(i, Celsius{21}, 0);
  REQUIRE(track.last_change().has_value());
  CHECK(track.last_change()->time_h == Approx(50).margin(3));
  CHECK(track.last_change()->before.value == Approx(18).margin(0.5));
}

// By definition: ten degrees more are Q10 times as fast.
TEST_CASE("thermal time runs by the factor for ten degrees and can be read backwards") {
  CHECK(ThermalTime::speed(Celsius{20}) == Approx(1));
  CHECK(ThermalTime::speed(Celsius{30}) == Approx(ThermalTime::kQ10));
  ThermalTime time;
  for (int i = 1; i <= 40; ++i) time.advance(i * 0.25, Celsius{i <= 20 ? 20.0 : 10.0});
  CHECK(time.now() == Approx(5 + 5 / ThermalTime::kQ10));
  CHECK(time.at(5) == Approx(5));
  CHECK(time.when(2.5) == Approx(2.5));
  CHECK(time.when(5 + 2.5 / ThermalTime::kQ10) == Approx(7.5));
}
