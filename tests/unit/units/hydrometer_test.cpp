#include "units/hydrometer.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// tests/reference/hydrometer_temperature.csv: the water rule worked a second time, and the truth for sucrose
// solutions with the expansion of the glass.
TEST_CASE("a hydrometer reading is corrected by the expansion of water, near the truth for wort") {
  const auto rows = test::reference_csv("hydrometer_temperature.csv");
  REQUIRE(rows.size() == 81);
  double most = 0;
  double most_to_1050 = 0;
  for (std::size_t i = 1; i < rows.size(); ++i) {
    CAPTURE(i, rows[i][0], rows[i][1]);
    const double at = std::stod(rows[i][0]);
    const double reading = std::stod(rows[i][1]);
    const auto corrected = corrected_hydrometer_reading(SpecificGravity::unchecked(reading), Celsius{at},
                                                        Celsius{std::stod(rows[i][2])});
    REQUIRE(corrected.has_value());
    CHECK(corrected.value().value() == Approx(std::stod(rows[i][3])).margin(1e-5).epsilon(0));
    if (at < 10 || at > 30) continue;
    const double error = std::abs(corrected.value().value() - std::stod(rows[i][4]));
    most = std::max(most, error);
    if (reading <= 1.0501) most_to_1050 = std::max(most_to_1050, error);
  }
  CHECK(most_to_1050 <= 0.0004);
  CHECK(most <= 0.0008);
  CHECK(most > 0);
}

// Water is 1.000 to any hydrometer at the temperature it is made for: what one for 15 degC, 60 degF or 20
// degC shows in water of another temperature follows from the densities of Kell 1975
// (tests/reference/water_density.csv).
TEST_CASE("a hydrometer made for 15 or 20 degC or for 60 degF, in water") {
  const auto rows = test::reference_csv("water_density.csv");
  const auto density = [&](double celsius) {
    for (std::size_t i = 1; i < rows.size(); ++i) {
      if (std::abs(std::stod(rows[i][0]) - celsius) < 0.001) return std::stod(rows[i][1]);
    }
    FAIL("no density at " << celsius);
    return 0.0;
  };
  for (const double made_for : {15.0, 20.0}) {
    for (const double at : {5.0, 10.0, 25.0, 30.0}) {
      CAPTURE(made_for, at);
      const auto shown = SpecificGravity::unchecked(density(at) / density(made_for));
      CHECK(corrected_hydrometer_reading(shown, Celsius{at}, Celsius{made_for}).value().value() ==
            Approx(1).margin(1e-6).epsilon(0));
    }
  }
  // At 60 degF one made for 20 degC shows 0.9990 / 0.9982, and one made for 60 degF nothing else than 1.
  const Celsius sixty = from_fahrenheit(60);
  CHECK(corrected_hydrometer_reading(SpecificGravity::unchecked(1), sixty, sixty).value().value() == 1);
  CHECK(corrected_hydrometer_reading(SpecificGravity::unchecked(0.9990141 / 0.9982041), sixty)
            .value()
            .value() == Approx(1).margin(2e-6).epsilon(0));
}

TEST_CASE("at its own temperature a hydrometer needs no correction") {
  const auto reading = SpecificGravity::unchecked(1.048);
  CHECK(corrected_hydrometer_reading(reading, Celsius{20}).value() == reading);
}

TEST_CASE("samples too hot to be corrected are refused") {
  const auto reading = SpecificGravity::unchecked(1.048);
  for (const double at : {-1.0, 61.0, 100.0, std::numeric_limits<double>::quiet_NaN()}) {
    CAPTURE(at);
    CHECK_FALSE(corrected_hydrometer_reading(reading, Celsius{at}).has_value());
    CHECK_FALSE(corrected_hydrometer_reading(reading, Celsius{20}, Celsius{at}).has_value());
  }
}
