#include "brewday/bitterness.h"

#include <catch2/catch.hpp>
#include <limits>
#include <vector>

using namespace gyle;

namespace {

SpecificGravity sg(double value) { return SpecificGravity::unchecked(value); }

}  // namespace

// Rows of the table that was published with the formula, from memory: minutes, gravity, utilisation to 0.001.
// They agree with 1.65 * 0.000125^(gravity - 1) * (1 - e^(-0.04 t)) / 4.15 worked by hand.
TEST_CASE("utilisation by Tinseth is that of its table") {
  struct Row {
    int min;
    double gravity, utilisation;
  };
  const auto row = GENERATE(values<Row>({{60, 1.050, 0.231},
                                         {60, 1.040, 0.252},
                                         {30, 1.050, 0.177},
                                         {15, 1.050, 0.114},
                                         {5, 1.050, 0.046},
                                         {60, 1.080, 0.176},
                                         {0, 1.050, 0.0}}));
  CAPTURE(row.min, row.gravity);
  CHECK(tinseth_utilisation(sg(row.gravity), minutes(row.min)) ==
        Approx(row.utilisation).margin(0.0011).epsilon(0));
}

// By hand from the formula (from memory): 18.11 + 13.86 tanh((t - 31.32) / 18.27) per cent. At 31.32 min the
// tangent is 0; at 60 min it is tanh(1.5698) = 0.9170; above 1.050 divided by 1 + (gravity - 1.050) / 0.2.
TEST_CASE("utilisation by Rager follows its formula") {
  CHECK(rager_utilisation(sg(1.050), from_hours(31.32 / 60)) == Approx(0.1811).margin(1e-4).epsilon(0));
  CHECK(rager_utilisation(sg(1.040), minutes(60)) == Approx(0.3082).margin(2e-4).epsilon(0));
  CHECK(rager_utilisation(sg(1.090), minutes(60)) == Approx(0.3082 / 1.2).margin(2e-4).epsilon(0));
}

// By hand: 15 g of 6.5 % in 14 L are 69.64 mg/L; of them 0.231 by Tinseth: 16.1 IBU; 0.308 by Rager: 21.5 IBU.
TEST_CASE("bitterness is what of the alpha acids comes into the beer") {
  const std::vector<HopCharge> one{{0.015, 0.065, minutes(60)}};
  const Bitterness got = bitterness_of(one, sg(1.050), 14).value();
  CHECK(got.tinseth == Approx(16.1).margin(0.1).epsilon(0));
  CHECK(got.rager == Approx(21.5).margin(0.1).epsilon(0));
  const std::vector<HopCharge> two{one[0], one[0]};
  CHECK(bitterness_of(two, sg(1.050), 28).value().tinseth == Approx(got.tinseth));
  const std::vector<HopCharge> late{{0.1, 0.065, Duration(0)}};
  CHECK(bitterness_of(late, sg(1.050), 14).value().tinseth == 0);
}

TEST_CASE("hops that cannot be are refused") {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto refused = [](HopCharge charge, double volume_l = 14) {
    const std::vector<HopCharge> hops{charge};
    return !bitterness_of(hops, SpecificGravity::unchecked(1.05), volume_l).has_value();
  };
  CHECK_FALSE(refused({0.01, 0.05, minutes(60)}));
  CHECK(refused({-0.01, 0.05, minutes(60)}));
  CHECK(refused({nan, 0.05, minutes(60)}));
  CHECK(refused({0.01, 5, minutes(60)}));  // per cent taken for a fraction
  CHECK(refused({0.01, 0.05, hours(7)}));
  CHECK(refused({0.01, 0.05, minutes(60)}, 0));
}
