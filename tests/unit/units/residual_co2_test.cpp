#include "units/residual_co2.h"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// tests/reference/co2_residual.csv: the quadratic of M. L. Hall, Zymurgy, 1995, its coefficients from
// memory; and a table of twelve values that is printed in the trade without an author. The
// two agree within 0.02 volumes.
TEST_CASE(
    "residual carbon dioxide is that of Hall's quadratic, and within 0.02 volumes that of the trade's "
    "table") {
  int of_table = 0;
  const auto rows = test::reference_csv("co2_residual.csv");
  REQUIRE(rows.size() == 32);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const double volumes = residual_co2_volumes(Celsius{std::atof(rows[i][0].c_str())}).value();
    CHECK(volumes == Approx(std::atof(rows[i][3].c_str())).margin(0.0006).epsilon(0));
    if (rows[i][2].empty()) continue;
    ++of_table;
    CHECK(volumes == Approx(std::atof(rows[i][2].c_str())).margin(0.021).epsilon(0));
  }
  CHECK(of_table == 12);
}

TEST_CASE("temperatures outside the published range are refused") {
  CHECK(residual_co2_volumes(Celsius{-0.1}).error().code == Errc::out_of_range);
  CHECK(residual_co2_volumes(Celsius{30.1}).error().code == Errc::out_of_range);
  CHECK(residual_co2_volumes(Celsius{std::numeric_limits<double>::quiet_NaN()}).error().code ==
        Errc::out_of_range);
}
