#include "rehearsal/beer_model.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <memory>

using namespace gyle;

namespace {

BatchSpec two_holds() {
  BatchSpec spec;
  spec.pitched = Time(hours(24 * 20000));
  spec.yeast.attenuation_low = 0.73;
  spec.yeast.attenuation_high = 0.79;
  spec.plan = {Hold{Celsius{17.0}, UntilProgress{0.75}}, Hold{Celsius{20.0}, UntilFinalGravity{}}};
  return spec;
}

SpecificGravity sg(double value) { return SpecificGravity::unchecked(value); }

Truth ordinary(const BatchSpec& spec, VesselModel vessel = {}, Conduct conduct = {}) {
  return brew(spec, sg(1.050), sg(1.012), std::make_unique<SigmoidKinetics>(SigmoidShape{50.0, 0.08}), vessel,
              conduct, days(16));
}

}  // namespace

TEST_CASE("gravity falls from the original to the final one and never rises") {
  const Truth truth = ordinary(two_holds());
  CHECK(truth.gravity.front() == 1.050);
  CHECK(truth.final_gravity == Approx(1.012).margin(1e-6));
  CHECK(std::is_sorted(truth.gravity.rbegin(), truth.gravity.rend()));
  CHECK(truth.end() - truth.pitched == days(16));
}

// The definitions in truth.h, checked on the series itself.
TEST_CASE("start, end and changes of hold agree with the series") {
  const BatchSpec spec = two_holds();
  const Truth truth = ordinary(spec);
  REQUIRE(truth.started);
  CHECK(truth.gravity_at(*truth.started) <= 1.049);
  CHECK(truth.gravity_at(*truth.started - truth.grid) > 1.049);
  REQUIRE(truth.finished);
  CHECK(truth.gravity_at(*truth.finished) <= truth.final_gravity + 0.0005);
  CHECK(truth.gravity_at(*truth.finished - truth.grid) > truth.final_gravity + 0.0005);
  // 0.75 of 0.76 of 50 points is a fall of 28.5 points.
  REQUIRE(truth.hold_over[0]);
  CHECK(truth.gravity_at(*truth.hold_over[0]) == Approx(1.0215).margin(0.0002));
  CHECK(*truth.hold_over[1] == *truth.finished + hours(48));
  REQUIRE(truth.set_to[1]);
  CHECK(in_hours(*truth.set_to[1] - *truth.hold_over[0]) == Approx(3.0).margin(0.2));
}

TEST_CASE("the thermostat keeps the plan, and a change of hold shows in the beer") {
  const Truth truth = ordinary(two_holds());
  CHECK(truth.beer_at(*truth.hold_over[0]) == Approx(17.0).margin(0.8));
  CHECK(truth.beer_at(*truth.set_to[1] + hours(24)) == Approx(20.0).margin(0.5));
  Conduct forgetful;
  forgetful.carries_out = false;
  const Truth unchanged = ordinary(two_holds(), VesselModel{}, forgetful);
  CHECK_FALSE(unchanged.set_to[1]);
  CHECK(unchanged.beer_at(unchanged.end()) == Approx(17.0).margin(0.5));
}

// Common practice, no source: an uncooled batch at its peak is 2 to 5 degC above ambient.
TEST_CASE("without a thermostat a fermenting beer is warmer than the room") {
  VesselModel vessel;
  vessel.controlled = false;
  vessel.wort_celsius = vessel.room_celsius = 19.0;
  vessel.room_swing_celsius = 0.0;
  const Truth truth = ordinary(two_holds(), vessel);
  const double peak = *std::max_element(truth.beer_temperature.begin(), truth.beer_temperature.end());
  CHECK(peak > 21.0);
  CHECK(peak < 24.0);
  CHECK(truth.beer_temperature.back() == Approx(19.0).margin(0.1));
}

TEST_CASE("a heater alone cannot hold the temperature in a warm afternoon") {
  VesselModel vessel;
  vessel.warm_afternoon_celsius = 16.0;
  vessel.warm_afternoon_h = 240.0;
  const auto warmest = [](const Truth& truth) {
    return *std::max_element(truth.beer_temperature.begin() + 240 * 6,
                             truth.beer_temperature.begin() + 260 * 6);
  };
  CHECK(warmest(ordinary(two_holds(), vessel)) < 20.5);
  vessel.can_cool = false;
  CHECK(warmest(ordinary(two_holds(), vessel)) > 22.5);
}

TEST_CASE("the days of a hold count from when it became due") {
  BatchSpec spec = two_holds();
  spec.plan = {Hold{Celsius{20.0}, UntilDays{2.0}}, Hold{Celsius{22.0}, UntilFinalGravity{}},
               Hold{Celsius{3.0}, UntilDays{3.0}}};
  VesselModel cellar;
  cellar.room_celsius = 10.0;
  const Truth truth = ordinary(spec, cellar);
  CHECK(*truth.hold_over[0] == spec.pitched + days(2));
  REQUIRE(truth.hold_over[2]);
  CHECK(*truth.hold_over[2] == *truth.hold_over[1] + days(3));
  CHECK(truth.beer_at(truth.end()) == Approx(3.0).margin(1.0));
}

TEST_CASE("with yeast that never starts there is neither a start nor an end of a hold") {
  const BatchSpec spec = two_holds();
  const Truth truth =
      brew(spec, sg(1.050), sg(1.012),
           std::make_unique<LaggingKinetics>(std::make_unique<SigmoidKinetics>(SigmoidShape{}), 1e6),
           VesselModel{}, Conduct{}, days(5));
  CHECK_FALSE(truth.started);
  CHECK_FALSE(truth.hold_over[0]);
  CHECK_FALSE(truth.hold_over[1]);
  CHECK(truth.final_gravity == 1.050);
}
