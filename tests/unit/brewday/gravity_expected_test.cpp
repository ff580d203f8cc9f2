#include "brewday/gravity_expected.h"

#include <catch2/catch.hpp>
#include <limits>

#include "units/us_customary.h"

using namespace gyle;

TEST_CASE("extract is read as maltsters and brewers write it") {
  CHECK(parse_extract("80 %").value() == 0.80);
  CHECK(parse_extract("80%").value() == 0.80);
  CHECK(parse_extract(" 81 % dry").value() == Approx(0.81 * 0.96));
  CHECK(parse_extract("81 % dry", 0.05).value() == Approx(0.81 * 0.95));
  CHECK(parse_extract("37 ppg").value() == Approx(parse_extract("1.037 SG").value()));
}

// A pound of sucrose made up to a US gallon is 119.826 g/L. In the sucrose table
// (tests/reference/plato_sg.csv) 11 % is 0.114652 and 12 % 0.125575 kg/L, so that this is 11.475 %, of
// gravity 1.0462.
TEST_CASE("a pound of sugar in a gallon has 46.2 points, and that is all of it") {
  CHECK(parse_extract("46.2 ppg").value() == Approx(1.0).margin(0.002).epsilon(0));
  CHECK(parse_extract("23.1 ppg").value() == Approx(0.5).margin(0.005).epsilon(0));
  for (const char* text : {"46.7 ppg", "101 %", "0 %", "-5 %", "1037 SG", "0 ppg"}) {
    CAPTURE(text);
    const auto extract = parse_extract(text);
    REQUIRE_FALSE(extract.has_value());
  }
  for (const char* text : {"", "80", "eighty", "80 % wet", "80 points", "nan %"}) {
    CAPTURE(text);
    const auto extract = parse_extract(text);
    REQUIRE_FALSE(extract.has_value());
    CHECK_THAT(extract.error().message, Catch::Contains("37 ppg"));
  }
}

// Points of gravity times gallons are nearly conserved: 6.4 lb of 37 points at 75 % are 177.6 points in a
// gallon, 45.0 in 3.95 gal. Common arithmetic of the trade; it leaves out that points are not quite
// proportional to extract, less than one point here.
TEST_CASE("an original gravity agrees with the trade's own arithmetic") {
  WaterNeeds needs;
  needs.batch_l = 3.2 * kLitresPerUsGallon;
  needs.trub_l = 0.75 * kLitresPerUsGallon;
  needs.evaporation_l_per_h = 1.5 * kLitresPerUsGallon;
  needs.grain_kg = 6.4 * kKgPerPound;
  const Potential potential{needs.grain_kg * parse_extract("37 ppg").value(), 0};
  const auto wort = expect_wort(needs, potential, 0.75);
  REQUIRE(wort.has_value());
  CHECK((wort.value().post_boil.gravity().value() - 1) * 1000 == Approx(45.0).margin(0.7).epsilon(0));
  // 3.95 / 0.96 + 1.5 = 5.61 gal hot are 5.39 gal at 20 degC.
  CHECK((wort.value().pre_boil.gravity().value() - 1) * 1000 == Approx(177.6 / 5.39).margin(0.7).epsilon(0));
}

TEST_CASE("before the boil the volume is that of the water plan") {
  WaterNeeds needs;
  needs.grain_kg = 5;
  const double sugar = GENERATE(0.0, 1.0);
  needs.sugar_kg = sugar;
  const auto water = plan_water(needs);
  const auto wort = expect_wort(needs, {4.0, sugar}, 0.75);
  REQUIRE(wort.has_value());
  CHECK(wort.value().pre_boil.volume_l() ==
        Approx(water.value().pre_boil_hot_l * cooling_shrinkage()).epsilon(0.002));
  CHECK(wort.value().post_boil.volume_l() == Approx(needs.batch_l + needs.trub_l));
  CHECK(wort.value().pre_boil.extract_kg == Approx(3.0));
  CHECK(wort.value().post_boil.extract_kg == Approx(3.0 + sugar));
}

TEST_CASE("an impossible efficiency is refused, and a wort that is too strong") {
  for (const double efficiency : {0.0, -0.5, 1.01, 75.0, std::numeric_limits<double>::quiet_NaN()}) {
    CAPTURE(efficiency);
    CHECK_FALSE(expect_wort({}, {4, 0}, efficiency).has_value());
  }
  CHECK_FALSE(expect_wort({}, {40, 0}, 0.75).has_value());
}
