#include "ingest/unit.h"

#include <catch2/catch.hpp>
#include <numbers>

using namespace gyle;

TEST_CASE("every code is read back as its unit") {
  for (const Unit unit :
       {Unit::specific_gravity, Unit::plato, Unit::kilogram_per_cubic_metre, Unit::celsius, Unit::fahrenheit,
        Unit::kelvin, Unit::degree_angle, Unit::radian, Unit::volt, Unit::millivolt}) {
    CAPTURE(code(unit));
    CHECK(unit_coded(code(unit)) == unit);
  }
  CHECK_FALSE(unit_coded("").has_value());
  CHECK_FALSE(unit_coded("brix").has_value());
  CHECK_FALSE(unit_coded("cel").has_value());  // UCUM and SenML codes are case-sensitive
  // RFC 8428 section 12.1: "/" is the ratio, "%" a discouraged name of the same and not a hundredth.
  CHECK(unit_coded("/") == Unit::specific_gravity);
  CHECK_FALSE(unit_coded("%").has_value());
}

TEST_CASE("numbers become canonical") {
  CHECK(to_canonical(1.048, Unit::specific_gravity).value() == 1.048);
  // NBS Circular C440 tables 113 and 114: a 12 % solution has 1.046462 g/mL and 1.04837.
  CHECK(to_canonical(12, Unit::plato).value() == Approx(1.04837).margin(2.5e-5).epsilon(0));
  CHECK(to_canonical(1046.43, Unit::kilogram_per_cubic_metre).value() ==
        Approx(1.04837).margin(2e-5).epsilon(0));
  CHECK(to_canonical(212, Unit::fahrenheit).value() == Approx(100));
  CHECK(to_canonical(273.15, Unit::kelvin).value() == Approx(0).margin(1e-9));
  CHECK(to_canonical(std::numbers::pi / 2, Unit::radian).value() == Approx(90));
  CHECK(to_canonical(3700, Unit::millivolt).value() == Approx(3.7));
  CHECK_FALSE(to_canonical(1048, Unit::specific_gravity).has_value());
}

TEST_CASE("units fit the quantities that they measure") {
  CHECK(fits(Unit::plato, Quantity::gravity));
  CHECK_FALSE(fits(Unit::celsius, Quantity::gravity));
  CHECK(fits(Unit::kelvin, Quantity::ambient_temperature));
  CHECK_FALSE(fits(Unit::volt, Quantity::inclination));
  CHECK(codes_that_fit(Quantity::beer_temperature) == R"("C", "F" or "K")");
}
