#include "brewday/water.h"

#include <catch2/catch.hpp>
#include <limits>

#include "numbers_in.h"
#include "support/reference.h"
#include "units/us_customary.h"

using namespace gyle;

namespace {

constexpr double kGallonsPerPound = kLitresPerUsGallon / kKgPerPound;  // of L/kg

double gallons(double litres) { return litres / kLitresPerUsGallon; }

}  // namespace

// Kell 1975: 958.3637 and 998.2041 kg/m3.
TEST_CASE("wort shrinks by four hundredths from the boil to 20 degrees") {
  CHECK(cooling_shrinkage() == Approx(0.9601).margin(5e-5).epsilon(0));
}

// tests/reference/brewday.csv; its rows take the shrinkage as 4 %, of all that is hot, and are rounded to
// 0.01 gal.
TEST_CASE("the water of a full-volume mash, from the fermenter backwards") {
  int compared = 0;
  for (const auto& row : test::reference_csv("brewday.csv")) {
    if (row[0] != "full_volume_water") continue;
    CAPTURE(row[1]);
    const auto in = test::numbers_in(row[1]);
    const auto expected = test::numbers_in(row[2]);
    WaterNeeds needs;
    needs.batch_l = in[0] * kLitresPerUsGallon;
    needs.trub_l = in[1] * kLitresPerUsGallon;
    needs.boil = from_hours(in[2]);
    needs.evaporation_l_per_h = in[3] * kLitresPerUsGallon;
    needs.grain_kg = in[4] * kKgPerPound;
    needs.absorption_l_per_kg = in[5] * kGallonsPerPound;
    needs.displacement_l_per_kg = 0.08 * kGallonsPerPound;
    needs.mash = Celsius{100};
    const auto plan = plan_water(needs);
    REQUIRE(plan.has_value());
    CHECK(gallons(plan.value().post_boil_hot_l) == Approx(expected[0]).margin(0.006).epsilon(0));
    CHECK(gallons(plan.value().pre_boil_hot_l) == Approx(expected[1]).margin(0.006).epsilon(0));
    CHECK(gallons(plan.value().total_cold_l / cooling_shrinkage()) ==
          Approx(expected[2]).margin(0.006).epsilon(0));
    CHECK(gallons(plan.value().mash_volume_l) == Approx(expected[3]).margin(0.006).epsilon(0));
    ++compared;
  }
  CHECK(compared == 4);
}

// Kell's densities at 20 and 70 degC in tests/reference/water_density.csv.
TEST_CASE("water expands with its temperature, in the mash too") {
  double cold = 0, warm = 0;
  for (const auto& row : test::reference_csv("water_density.csv")) {
    if (std::atof(row[0].c_str()) == 20) cold = std::atof(row[1].c_str());
    if (std::atof(row[0].c_str()) == 70) warm = std::atof(row[1].c_str());
  }
  REQUIRE(cold > warm);
  REQUIRE(warm > 0);
  CHECK(cooling_shrinkage(Celsius{70}) == Approx(warm / cold).epsilon(1e-6));
  WaterNeeds needs;
  needs.grain_kg = 5;
  needs.mash = Celsius{70};
  const WaterPlan plan = plan_water(needs).value();
  CHECK(plan.mash_volume_l == Approx(plan.total_cold_l * cold / warm + 5 * needs.displacement_l_per_kg));
}

// tests/reference/brewday.csv: water and what the grain takes up.
TEST_CASE("grain raises the level by what it displaces") {
  int compared = 0;
  for (const auto& row : test::reference_csv("brewday.csv")) {
    if (row[0] != "mash_volume") continue;
    CAPTURE(row[1]);
    const auto in = test::numbers_in(row[1]);
    WaterNeeds needs;
    needs.trub_l = 0;
    needs.boil = Duration(0);
    needs.grain_kg = in[1] * kKgPerPound;
    needs.absorption_l_per_kg = 0;
    needs.displacement_l_per_kg = in[2] * kGallonsPerPound;
    needs.mash = Celsius{100};
    // A batch that needs just this water.
    needs.batch_l = in[0] * kLitresPerUsGallon * cooling_shrinkage();
    const auto plan = plan_water(needs);
    REQUIRE(plan.has_value());
    CHECK(gallons(plan.value().mash_volume_l) == Approx(std::atof(row[2].c_str())).margin(0.006).epsilon(0));
    ++compared;
  }
  CHECK(compared == 4);
}

// Common practice, no source: a small batch wants nearly twice as much water as beer. With the defaults, by
// hand: (12 + 3) / 0.96 + 5.5 + 0.8 x 2.8 = 23.4 L, measured hot.
TEST_CASE("a batch of 12 L wants a little over 23 L of water") {
  WaterNeeds needs;
  needs.batch_l = 12;
  needs.grain_kg = 2.8;
  const auto plan = plan_water(needs);
  REQUIRE(plan.has_value());
  const double hot = plan.value().total_cold_l / cooling_shrinkage();
  CHECK(hot > 23.0);
  CHECK(hot < 23.7);
}

// By hand: the water stays the same; 4 L less of it are in the mash, which at 66 degC are 4 / 0.9820 L.
TEST_CASE("a sparge takes its water from the mash") {
  WaterNeeds needs;
  needs.batch_l = 12;
  needs.grain_kg = 2.8;
  const WaterPlan without = plan_water(needs).value();
  CHECK(without.mash_cold_l == without.total_cold_l);
  needs.sparge_l = 4;
  const WaterPlan with = plan_water(needs).value();
  CHECK(with.total_cold_l == without.total_cold_l);
  CHECK(with.mash_cold_l == Approx(without.total_cold_l - 4));
  CHECK(without.mash_volume_l - with.mash_volume_l == Approx(4 / 0.982).margin(0.005).epsilon(0));
  CHECK(with.pre_boil_hot_l == without.pre_boil_hot_l);
  // 2 L per kg stay for the mash.
  needs.sparge_l = without.total_cold_l - 5.5;
  CHECK_FALSE(plan_water(needs).has_value());
  needs.sparge_l = without.total_cold_l - 5.7;
  CHECK(plan_water(needs).has_value());
}

TEST_CASE("impossible amounts are refused") {
  const auto spoilt = [](auto change) {
    WaterNeeds needs;
    change(needs);
    return !plan_water(needs).has_value();
  };
  REQUIRE_FALSE(spoilt([](WaterNeeds&) {}));
  for (const double bad : {-1.0, std::numeric_limits<double>::quiet_NaN(), 1e9}) {
    CAPTURE(bad);
    CHECK(spoilt([&](WaterNeeds& n) { n.batch_l = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.trub_l = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.evaporation_l_per_h = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.grain_kg = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.absorption_l_per_kg = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.displacement_l_per_kg = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.sugar_kg = bad; }));
    CHECK(spoilt([&](WaterNeeds& n) { n.sparge_l = bad; }));
  }
  CHECK(spoilt([](WaterNeeds& n) { n.batch_l = 0; }));
  CHECK(spoilt([](WaterNeeds& n) { n.boil = hours(-1); }));
  CHECK(spoilt([](WaterNeeds& n) { n.boil = hours(7); }));
  CHECK(spoilt([](WaterNeeds& n) { n.sugar_kg = 60; }));
  CHECK(spoilt([](WaterNeeds& n) { n.mash = Celsius{101}; }));
}
