#include "units/carbonation.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// tests/reference/co2_solubility.csv: Henry's law fitted to beer, and the fit to the ASBC
// table by A. J. deLange, the coefficients of both from memory; water by Weiss 1974, from memory too. It
// checks the arithmetic; that the two fits agree is what speaks for them. The file has three decimals and
// 1.9769 g/L; ours is 1.977 g/L.
TEST_CASE("the gas in beer follows the two fits, which agree to 2 %") {
  const auto rows = test::reference_csv("co2_solubility.csv");
  REQUIRE(rows.size() == 109);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0], rows[i][1]);
    const Celsius beer{number(0)};
    const double henry = carbonation_volumes(beer, number(1), CarbonationFit::henry).value();
    const double chart = carbonation_volumes(beer, number(1), CarbonationFit::chart).value();
    CHECK(henry == Approx(number(3)).margin(0.001).epsilon(0));
    CHECK(chart == Approx(number(4)).margin(0.001).epsilon(0));
    CHECK(henry * kCo2GramsPerVolume == Approx(number(2)).margin(0.001).epsilon(0));
    CHECK(henry == Approx(chart).epsilon(0.02));
    // Water holds a little more than beer at one atmosphere, and no more than a tenth.
    CHECK(henry * kCo2GramsPerVolume == Approx(number(5)).epsilon(0.1));
  }
}

// tests/reference/bottle_pressure.csv: the same two fits, from memory, solved for the pressure.
TEST_CASE("the pressure over beer of known gas is that of the table of bottles") {
  const auto rows = test::reference_csv("bottle_pressure.csv");
  REQUIRE(rows.size() == 43);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0], rows[i][1]);
    const Celsius beer{number(1)};
    const double chart = carbonation_gauge_bar(beer, number(0), CarbonationFit::chart).value();
    const double henry = carbonation_gauge_bar(beer, number(0), CarbonationFit::henry).value();
    CHECK(chart == Approx(number(2)).margin(0.006).epsilon(0));
    CHECK(henry == Approx(number(3)).margin(0.006).epsilon(0));
    CHECK(most_gauge_bar(beer, number(0)).value() == std::max(chart, henry));
  }
}

TEST_CASE("gas and pressure are each other's inverse") {
  for (const CarbonationFit fit : {CarbonationFit::henry, CarbonationFit::chart}) {
    for (const double celsius : {0.0, 6.0, 20.0, 40.0}) {
      for (const double bar : {-0.5, 0.0, 0.8, 3.0}) {
        const double volumes = carbonation_volumes(Celsius{celsius}, bar, fit).value();
        CHECK(carbonation_gauge_bar(Celsius{celsius}, volumes, fit).value() == Approx(bar).margin(1e-9));
      }
    }
  }
}

TEST_CASE("outside the known range gas is refused") {
  const auto fit = CarbonationFit::chart;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK(carbonation_volumes(Celsius{300}, 1, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_volumes(Celsius{-3}, 1, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_volumes(Celsius{nan}, 1, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_volumes(Celsius{6}, -1.1, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_volumes(Celsius{6}, nan, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_gauge_bar(Celsius{6}, 0, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_gauge_bar(Celsius{6}, -1, fit).error().code == Errc::out_of_range);
  CHECK(carbonation_gauge_bar(Celsius{6}, nan, fit).error().code == Errc::out_of_range);
  CHECK(most_gauge_bar(Celsius{46}, 2.4).error().code == Errc::out_of_range);
}
