#include "brewday/correction.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

using namespace gyle;

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

SpecificGravity sg(double value) { return SpecificGravity::unchecked(value); }

BoilAhead ahead_of(double volume_l, double gravity) {
  BoilAhead ahead;
  ahead.wort = wort_of(volume_l, sg(gravity)).value();
  ahead.evaporation_kg_per_h = 4;
  return ahead;
}

}  // namespace

// By hand: 28 L of 1.040 are 9.99 degP and 29.07 kg, 2.905 kg of extract. An hour leaves 25.07 kg of 11.59
// degP, 1.0466 (tests/reference/plato_sg.csv: 11 % is 1.04419, 12 % 1.04837). 1.050 is 12.39 degP, 23.45 kg:
// 1.62 kg more to boil away at 4 kg/h, 24 min.
TEST_CASE("a weak wort is boiled longer") {
  const auto c = correct_boil(ahead_of(28, 1.040), sg(1.050));
  REQUIRE(c.has_value());
  CHECK(c.value().weak);
  CHECK(c.value().accepted.gravity().value() == Approx(1.0466).margin(0.0002).epsilon(0));
  REQUIRE(c.value().longer.has_value());
  CHECK(in_hours(c.value().longer->more) * 60 == Approx(24.3).margin(1).epsilon(0));
  CHECK(c.value().longer->wort.volume_l() == Approx(23.45 / 1.0481).margin(0.1).epsilon(0));
  CHECK_FALSE(c.value().dilution.has_value());
}

// By hand, from above: 25.07 kg of 11.59 degP become 1.042, 10.46 degP, as 27.78 kg: 2.7 kg of water.
TEST_CASE("a strong wort is diluted") {
  const auto c = correct_boil(ahead_of(28, 1.040), sg(1.042));
  REQUIRE(c.has_value());
  CHECK_FALSE(c.value().weak);
  CHECK_FALSE(c.value().longer.has_value());
  REQUIRE(c.value().dilution.has_value());
  CHECK(c.value().dilution->water_l == Approx(2.7).margin(0.1).epsilon(0));
}

TEST_CASE("every correction keeps the extract and gives the wanted gravity") {
  const auto seed = GENERATE(range(1u, 201u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  BoilAhead ahead = ahead_of(between(15, 60), between(1.020, 1.070));
  ahead.boil = from_hours(between(0, 1.5));
  ahead.evaporation_kg_per_h = between(1, 6);
  ahead.sugar_kg = seed % 2 == 0 ? between(0, 1) : 0;
  ahead.sugar_extract_kg = ahead.sugar_kg * 0.95;
  const SpecificGravity wanted = sg(between(1.030, 1.080));
  const auto c = correct_boil(ahead, wanted);
  REQUIRE(c.has_value());
  const double extract = ahead.wort.extract_kg + ahead.sugar_extract_kg;
  CHECK(c.value().accepted.extract_kg == Approx(extract));
  // Either is worked again, the boil as a boil and the water as water.
  if (c.value().longer) {
    BoilAhead longer = ahead;
    longer.boil += c.value().longer->more;
    if (longer.boil <= hours(6)) {
      const Wort then = correct_boil(longer, wanted).value().accepted;
      CHECK(then.gravity().value() == Approx(wanted.value()).margin(2e-6).epsilon(0));
      CHECK(then.volume_l() == Approx(c.value().longer->wort.volume_l()).epsilon(1e-5));
    }
    CHECK(c.value().accepted.gravity() < wanted);
  } else if (c.value().dilution) {
    BoilAhead diluted = ahead;
    diluted.wort.mass_kg += c.value().dilution->water_l * 0.998204;
    const Wort then = correct_boil(diluted, wanted).value().accepted;
    CHECK(then.gravity().value() == Approx(wanted.value()).margin(2e-6).epsilon(0));
    CHECK(then.volume_l() == Approx(c.value().dilution->wort.volume_l()).epsilon(1e-5));
    CHECK(c.value().accepted.gravity() > wanted);
  } else if (!c.value().weak) {
    CHECK(std::abs((c.value().accepted.gravity() - wanted).value) <= 0.5);
  }
}

TEST_CASE("a wort without evaporation cannot be boiled longer") {
  BoilAhead ahead = ahead_of(28, 1.040);
  ahead.evaporation_kg_per_h = 0;
  const auto c = correct_boil(ahead, sg(1.050));
  REQUIRE(c.has_value());
  CHECK(c.value().weak);
  CHECK_FALSE(c.value().longer.has_value());
}

TEST_CASE("an impossible boil is refused") {
  const BoilAhead good = ahead_of(28, 1.040);
  REQUIRE(correct_boil(good, sg(1.050)).has_value());
  for (const double wanted : {1.0, 1.2, kNone}) CHECK_FALSE(correct_boil(good, sg(wanted)).has_value());
  const auto spoilt = [&](auto change) {
    BoilAhead ahead = good;
    change(ahead);
    return !correct_boil(ahead, sg(1.050)).has_value();
  };
  CHECK(spoilt([](BoilAhead& a) { a.boil = hours(7); }));
  CHECK(spoilt([](BoilAhead& a) { a.boil = hours(-1); }));
  CHECK(spoilt([](BoilAhead& a) { a.evaporation_kg_per_h = 40; }));
  CHECK(spoilt([](BoilAhead& a) { a.wort = wort_of(28, SpecificGravity::unchecked(1.0)).value(); }));
  for (const double bad : {-1.0, kNone}) {
    CHECK(spoilt([&](BoilAhead& a) { a.evaporation_kg_per_h = bad; }));
    CHECK(spoilt([&](BoilAhead& a) { a.sugar_kg = bad; }));
    CHECK(spoilt([&](BoilAhead& a) { a.sugar_extract_kg = bad; }));
  }
}
