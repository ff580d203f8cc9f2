#include "brewday/kettle_fit.h"

#include <catch2/catch.hpp>
#include <limits>
#include <random>

#include "units/us_customary.h"

using namespace gyle;

namespace {

// With these the trade's rules fit together; they are common practice themselves, and count all water as
// large as it is at the boil.
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

// Common practice, no source.
TEST_CASE("a kettle of 10 gal is only just big enough for 5.5 gal of beer") {
  const double kettle = 10 * kLitresPerUsGallon;
  for (const WaterNeeds& needs : {trade(5.5, 11), [] {
                                    WaterNeeds usual;
                                    usual.batch_l = 5.5 * kLitresPerUsGallon;
                                    usual.grain_kg = 11 * kKgPerPound;
                                    return usual;
                                  }()}) {
    const auto fit = fit_kettle(needs, kettle, 0);
    REQUIRE(fit.has_value());
    CHECK(fit.value().fits());
    CHECK(fit.value().only_just(kettle));
  }
  CHECK_FALSE(fit_kettle(trade(6, 12), kettle, 0).value().fits());
}

// Common practice, no source.
TEST_CASE("a kettle of 8 gal allows about 4 gal") {
  const auto fit = fit_kettle(trade(5.5, 11.7), 8 * kLitresPerUsGallon, 0);  // as strong as 8.5 lb in 4 gal
  REQUIRE(fit.has_value());
  CHECK_FALSE(fit.value().fits());
  CHECK(*fit.value().largest_batch_l / kLitresPerUsGallon == Approx(4.0).margin(0.1).epsilon(0));
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
