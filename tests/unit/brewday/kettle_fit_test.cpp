#include "brewday/kettle_fit.h"

#include <catch2/catch.hpp>
#include <limits>
#include <random>

#include "units/us_customary.h"

using namespace gyle;

namespace {

// Common practice, no source; all water is counted as large as it is at the boil.
WaterNeeds trade(double batch_gal, double grain_lb) {
  WaterNeeds needs;
  needs.batch_l = batch_gal * kLitresPerUsGallon;
  needs.trub_l = 0.75 * kLitresPerUsGallon;
  needs.evaporation_l_per_h = 1.5 * kLitresPerUsGallon;
  needs.grain_kg = grain_lb * kKgPerPound;
  needs.absorption_l_per_kg = 0.10 * kLitresPerUsGallon / kKgPerPound;
  needs.displacement_l_per_kg = 0.08 * kLitresPerUsGallon / kKgPerPound;
  needs.mash = Celsius{100};
  return needs;
}

}  // namespace

// Common practice, no source. By hand: (3.2 + 0.75) / 0.96 + 1.5 + 6.4 x (0.10 + 0.08) = 6.77 gal, 25.6 L.
TEST_CASE("a kettle of 26 L is only just big enough for 3.2 gal of beer") {
  const double kettle = 26;
  for (const WaterNeeds& needs : {trade(3.2, 6.4), [] {
                                    WaterNeeds usual;
                                    usual.batch_l = 3.2 * kLitresPerUsGallon;
                                    usual.grain_kg = 6.4 * kKgPerPound;
                                    return usual;
                                  }()}) {
    const auto fit = fit_kettle(needs, kettle, 0);
    REQUIRE(fit.has_value());
    CHECK(fit.value().fits());
    CHECK(fit.value().only_just(kettle));
  }
  CHECK_FALSE(fit_kettle(trade(3.5, 7), kettle, 0).value().fits());
}

// Common practice, no source. By hand, with 2 lb of grain a gallon: 5.28 gal = (b + 0.75) / 0.96 + 1.5 + 0.36 b
// for b = 2.14 gal, 8.1 L.
TEST_CASE("a kettle of 20 L allows about 8 L") {
  const auto fit = fit_kettle(trade(3.2, 6.4), 20, 0);
  REQUIRE(fit.has_value());
  CHECK_FALSE(fit.value().fits());
  CHECK(*fit.value().largest_batch_l == Approx(8.1).margin(0.1).epsilon(0));
}

TEST_CASE("the largest batch fits, and a larger one does not") {
  const auto seed = GENERATE(range(1u, 101u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  WaterNeeds needs;
  needs.batch_l = between(5, 40);
  needs.trub_l = between(0, 4);
  needs.boil = from_hours(between(0, 3));
  needs.evaporation_l_per_h = between(0, 8);
  needs.grain_kg = between(1, 12);
  needs.absorption_l_per_kg = between(0, 1.2);
  needs.displacement_l_per_kg = between(0, 0.8);
  needs.sugar_kg = between(0, 1);
  const double kettle = between(20, 60);
  const double head = between(0, 3);
  const auto fit = fit_kettle(needs, kettle, head);
  REQUIRE(fit.has_value());
  if (!fit.value().largest_batch_l) {
    CHECK_FALSE(fit.value().fits());
    return;
  }
  const auto at = [&](double factor) {
    WaterNeeds other = needs;
    factor *= *fit.value().largest_batch_l / needs.batch_l;
    other.batch_l *= factor;
    other.grain_kg *= factor;
    other.sugar_kg *= factor;
    return fit_kettle(other, kettle, head).value();
  };
  CHECK(at(0.999).fits());
  CHECK_FALSE(at(1.001).fits());
  CHECK(fit.value().fits() == (*fit.value().largest_batch_l >= needs.batch_l));
}

TEST_CASE("no batch fits a kettle that the boil-off alone would overfill") {
  WaterNeeds needs;
  needs.evaporation_l_per_h = 10;
  const auto fit = fit_kettle(needs, 10, 0);
  REQUIRE(fit.has_value());
  CHECK_FALSE(fit.value().fits());
  CHECK_FALSE(fit.value().largest_batch_l.has_value());
}

TEST_CASE("an impossible kettle is refused") {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  for (const double kettle : {0.0, -30.0, kNone}) CHECK_FALSE(fit_kettle({}, kettle, 0).has_value());
  for (const double head : {-1.0, 30.0, kNone}) CHECK_FALSE(fit_kettle({}, 30, head).has_value());
}
