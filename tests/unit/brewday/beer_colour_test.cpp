#include "brewday/beer_colour.h"

#include <catch2/catch.hpp>
#include <vector>

#include "units/us_customary.h"

using namespace gyle;

TEST_CASE("the colour of malt is read in both units") {
  CHECK(parse_malt_colour("6 EBC").value() == 6);
  // By hand from the formulas, from memory: (1.3546 * 3 - 0.76) * 1.97 = 6.51 EBC.
  CHECK(parse_malt_colour("3 L").value() == Approx(6.51).margin(0.01).epsilon(0));
  CHECK(parse_malt_colour(" 0 ebc ").value() == 0);
  for (const char* wrong : {"", "6", "EBC", "6 kg", "nan EBC", "-1 EBC", "-2 L", "5000 EBC"}) {
    CAPTURE(wrong);
    CHECK_FALSE(parse_malt_colour(wrong).has_value());
  }
}

// By hand, formulas from memory: 10 lb of 3 degrees Lovibond and 1 lb of 60 in 5 gal are 18 colour units;
// 1.4922 * 18^0.6859 = 10.83 SRM by Morey, 0.3 * 18 + 4.7 = 10.1 SRM by Mosher.
TEST_CASE("the colour of a beer by two formulas") {
  const auto malt = [](double pounds, const char* colour) {
    return Fermentable{"malt", pounds * kKgPerPound, 0.8, parse_malt_colour(colour).value()};
  };
  std::vector<Fermentable> bill{malt(10, "3 L"), malt(1, "60 L")};
  const BeerColour colour = beer_colour(bill, 5 * kLitresPerUsGallon).value();
  CHECK(colour.morey_ebc / kEbcPerSrm == Approx(10.83).margin(0.02).epsilon(0));
  CHECK(colour.mosher_ebc.value() / kEbcPerSrm == Approx(10.1).margin(0.02).epsilon(0));

  // 6 units: too pale for the straight line.
  CHECK_FALSE(beer_colour(std::vector{malt(10, "3 L")}, 5 * kLitresPerUsGallon)->mosher_ebc);
  bill.push_back({"of unknown colour", 1, 0.8, {}});
  CHECK_FALSE(beer_colour(bill, 19).has_value());
}
