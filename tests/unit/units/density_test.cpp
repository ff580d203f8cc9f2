#include "units/density.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// Kell 1975 evaluated elsewhere, and Tanaka et al. 2001 as a second opinion
// (tests/reference/water_density.csv).
TEST_CASE("the density of water follows Kell to 0.1 g/m3 and Tanaka to 4 g/m3") {
  const auto rows = test::reference_csv("water_density.csv");
  REQUIRE(rows.size() > 100);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const double density = water_density(Celsius{std::stod(rows[i][0])});
    CHECK(density == Approx(std::stod(rows[i][1])).margin(1e-4).epsilon(0));
    if (!rows[i][2].empty()) CHECK(density == Approx(std::stod(rows[i][2])).margin(0.004).epsilon(0));
  }
}

// Kell 1975 gives 998.2041 kg/m3 at 20 degC, Tanaka et al. 2001 998.2067 (tests/reference/water_density.csv).
TEST_CASE("a mistyped coefficient would show at 20 degrees") {
  CHECK(water_density(Celsius{20}) == Approx(998.204).margin(0.002).epsilon(0));
}

// Densities at 20 degC (g/mL, relative to water at 4 degC, 0.999972) and the apparent gravity of the same
// solution in tests/reference/plato_sg.csv.
TEST_CASE("a density becomes the apparent gravity of the sucrose table") {
  const auto rows = test::reference_csv("plato_sg.csv");
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const auto gravity = from_density(std::stod(rows[i][1]) * 999.972);
    REQUIRE(gravity.has_value());
    CHECK(gravity.value().value() == Approx(std::stod(rows[i][3])).margin(1.5e-5).epsilon(0));
  }
}

TEST_CASE("a gravity becomes the density of the sucrose table, and back again") {
  const auto rows = test::reference_csv("plato_sg.csv");
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const auto gravity = SpecificGravity::unchecked(std::stod(rows[i][3]));
    CHECK(to_density(gravity) == Approx(std::stod(rows[i][1]) * 999.972).margin(0.015).epsilon(0));
    CHECK(from_density(to_density(gravity)).value().value() == Approx(gravity.value()).epsilon(1e-12));
  }
}

TEST_CASE("impossible densities are refused") {
  for (const double density : {0.0, 1.048, 949.0, 1200.5, -1000.0, std::numeric_limits<double>::quiet_NaN(),
                               std::numeric_limits<double>::infinity()}) {
    CAPTURE(density);
    CHECK_FALSE(from_density(density).has_value());
  }
}
