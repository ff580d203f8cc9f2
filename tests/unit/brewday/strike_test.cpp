#include "brewday/strike.h"

#include <catch2/catch.hpp>
#include <limits>
#include <random>

#include "numbers_in.h"
#include "support/reference.h"
#include "units/us_customary.h"

using namespace gyle;

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

MashHeat heat_of(double water_kg, double grain_kg, Celsius grain, double specific_heat = 0.40,
                 double slaking_k = 0) {
  MashHeat heat;
  heat.water_kg = water_kg;
  heat.grain_kg = grain_kg;
  heat.grain = grain;
  heat.malt = {specific_heat, CelsiusDelta{slaking_k}};
  return heat;
}

}  // namespace

// All below: tests/reference/brewday.csv.
TEST_CASE(
    "strike temperatures follow the heat balance of the textbooks, and mashes the brewing room's book") {
  int compared = 0;
  for (const auto& row : test::reference_csv("brewday.csv")) {
    CAPTURE(row[0], row[1]);
    const std::vector<double> in = test::numbers_in(row[1]);
    const double expected = row[0] == "kind" ? 0 : std::atof(row[2].c_str());
    if (row[0] == "strike_temp" && row[3] == "C") {
      const auto strike = strike_temperature(heat_of(in[2], 1, Celsius{in[1]}, in[3]), Celsius{in[0]});
      REQUIRE(strike.has_value());
      CHECK(strike.value().value == Approx(expected).margin(0.006).epsilon(0));
    } else if (row[0] == "strike_temp") {
      // The rule takes a US quart of water for two pounds.
      const auto strike =
          strike_temperature(heat_of(2 * in[2], 1, from_fahrenheit(in[1])), from_fahrenheit(in[0]));
      REQUIRE(strike.has_value());
      CHECK(to_fahrenheit(strike.value()) == Approx(expected).margin(0.006).epsilon(0));
    } else if (row[0] == "full_volume_strike_rise") {
      constexpr double kPoundsPerGallon = 8.338;  // at 60 degF
      const auto strike = strike_temperature(
          heat_of(in[0] * kPoundsPerGallon, in[1], from_fahrenheit(in[2]), in[4]), from_fahrenheit(in[3]));
      REQUIRE(strike.has_value());
      CHECK(to_fahrenheit(strike.value()) - in[3] == Approx(expected).margin(0.006).epsilon(0));
    } else if (row[0] == "initial_mash_temp" && row[3] == "C") {
      const auto mash = mash_temperature(heat_of(in[3], 1, Celsius{in[1]}, in[0], in.back()), Celsius{in[2]});
      REQUIRE(mash.has_value());
      CHECK(mash.value().value == Approx(expected).margin(0.006).epsilon(0));
    } else if (row[0] == "initial_mash_temp") {
      const auto mash =
          mash_temperature(heat_of(2.5 * 360 / 336, 1, from_fahrenheit(in[1]), in[0], in.back() / 1.8),
                           from_fahrenheit(in[2]));
      REQUIRE(mash.has_value());
      CHECK(to_fahrenheit(mash.value()) == Approx(expected).margin(0.006).epsilon(0));
    } else if (row[0] == "malt_constants") {
      const std::vector<double> constants = test::numbers_in(row[2]);
      const auto malt = malt_heat(in[0] / 100);
      REQUIRE(malt.has_value());
      CHECK(malt.value().specific_heat == Approx(constants[0]));
      CHECK(malt.value().slaking.value == Approx(constants[1]));
      // The table gives both scales, rounded: within half a degree Fahrenheit.
      CHECK(malt.value().slaking.value * 1.8 == Approx(constants[2]).margin(0.81).epsilon(0));
    } else {
      continue;
    }
    ++compared;
  }
  CHECK(compared == 5 + 3 + 4 + 2 + 7);
}

// Common practice, no source: a full-volume mash strikes 2 to 3 degC higher. By hand:
// 0.40 x 2.8 / 20.5 x 46 = 2.5.
TEST_CASE("a full-volume mash at 66 C strikes about 2.5 C higher") {
  const auto strike = strike_temperature(heat_of(20.5, 2.8, Celsius{20}), Celsius{66});
  REQUIRE(strike.has_value());
  CHECK(strike.value().value == Approx(68.5).margin(0.1).epsilon(0));
}

TEST_CASE("between two rows of moisture the value is interpolated") {
  const auto malt = malt_heat(0.05);
  REQUIRE(malt.has_value());
  CHECK(malt.value().specific_heat == Approx(0.405));
  CHECK(malt.value().slaking.value == Approx(1.4));
  for (const double moisture : {-0.01, 0.081, kNone}) CHECK_FALSE(malt_heat(moisture).has_value());
}

TEST_CASE("a kettle that was heated with the water helps, a cold one takes") {
  MashHeat heat = heat_of(30, 5, Celsius{20});
  const double without = strike_temperature(heat, Celsius{67}).value().value;
  heat.kettle_kj_per_k = 8 * 0.5;
  CHECK(strike_temperature(heat, Celsius{67}).value().value < without);
  heat.kettle = Celsius{20};
  const double cold = strike_temperature(heat, Celsius{67}).value().value;
  CHECK(cold > without);
  // By hand: what the kettle takes, 4 kJ/K over 47 K, comes from 30 kg of water at 4.18 kJ/(kg K).
  CHECK(cold - without == Approx(4.0 * 47 / (30 * 4.18)));
}

TEST_CASE("the mash temperature of a strike is the inverse of the strike for it") {
  const auto seed = GENERATE(range(1u, 101u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  MashHeat heat =
      heat_of(between(20, 60), between(2, 8), Celsius{between(0, 30)}, between(0.38, 0.42), between(0, 3));
  heat.kettle_kj_per_k = between(0, 6);
  if (seed % 2 == 0) heat.kettle = Celsius{between(5, 30)};
  const Celsius mash{between(60, 72)};
  const auto strike = strike_temperature(heat, mash);
  REQUIRE(strike.has_value());
  CHECK(mash_temperature(heat, strike.value()).value().value == Approx(mash.value));
}

TEST_CASE("an impossible mash is refused") {
  const MashHeat good = heat_of(30, 5, Celsius{20});
  REQUIRE(strike_temperature(good, Celsius{67}).has_value());
  for (const double mash : {300.0, 29.0, -5.0, 81.0, kNone}) {
    CAPTURE(mash);
    CHECK_FALSE(strike_temperature(good, Celsius{mash}).has_value());
  }
  for (const double strike : {101.0, -1.0, kNone})
    CHECK_FALSE(mash_temperature(good, Celsius{strike}).has_value());
  const auto spoilt = [&](auto change) {
    MashHeat heat = good;
    change(heat);
    return !strike_temperature(heat, Celsius{67}).has_value() &&
           !mash_temperature(heat, Celsius{70}).has_value();
  };
  for (const double bad : {-1.0, kNone, 1e9}) {
    CAPTURE(bad);
    CHECK(spoilt([&](MashHeat& h) { h.water_kg = bad; }));
    CHECK(spoilt([&](MashHeat& h) { h.grain_kg = bad; }));
    CHECK(spoilt([&](MashHeat& h) { h.kettle_kj_per_k = bad; }));
    CHECK(spoilt([&](MashHeat& h) { h.malt.slaking.value = bad; }));
    CHECK(spoilt([&](MashHeat& h) { h.malt.specific_heat = bad; }));
  }
  CHECK(spoilt([&](MashHeat& h) { h.grain.value = 300; }));
  CHECK(spoilt([&](MashHeat& h) { h.kettle = Celsius{300}; }));
  const auto too_hot = strike_temperature(heat_of(2, 5, Celsius{20}), Celsius{67});
  REQUIRE_FALSE(too_hot.has_value());
  CHECK_THAT(too_hot.error().message, Catch::Contains("take more water"));
}
