#include "units/refractometer.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// The cubic of S. Terrill, 2010, its coefficients from memory, worked with Python's decimal arithmetic:
// readings before and after, in degrees Plato. It checks the arithmetic, not the coefficients.
TEST_CASE("finished beer is corrected by Terrill's cubic") {
  struct Row {
    double before, after, gravity;
  };
  const auto row = GENERATE(values<Row>({{12, 6, 1.01167966768},
                                         {12, 5.5, 1.0099639250175},
                                         {10, 5, 1.01029747250},
                                         {15, 7.5, 1.0134717634375},
                                         {18, 9, 1.01501737642}}));
  CAPTURE(row.before, row.after);
  const auto original = to_specific_gravity(Plato{row.before});
  CHECK(refractometer_gravity(row.after, original, 1.0).value().value() ==
        Approx(row.gravity).margin(1e-7).epsilon(0));
  CHECK(refractometer_gravity(row.after * 1.04, original).value().value() ==
        Approx(row.gravity).margin(1e-7).epsilon(0));
}

// The sucrose table (tests/reference/plato_sg.csv): a refractometer shows sugar water as it is, and wort by
// the correction more.
TEST_CASE("before fermentation a reading by the wort correction is the extract") {
  const auto rows = test::reference_csv("plato_sg.csv");
  REQUIRE(rows.size() == 32);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const double plato = std::stod(rows[i][0]);
    CAPTURE(plato);
    const double apparent = std::stod(rows[i][3]);
    CHECK(refractometer_wort_gravity(plato, 1.0).value().value() ==
          Approx(apparent).margin(2.5e-5).epsilon(0));
    CHECK(refractometer_wort_gravity(1.04 * plato).value().value() ==
          Approx(apparent).margin(2.5e-5).epsilon(0));
  }
  for (const double reading : {-0.1, 40.1}) CHECK_FALSE(refractometer_wort_gravity(reading));
  for (const double factor : {0.8, 1.3}) CHECK_FALSE(refractometer_wort_gravity(12, factor));
}

TEST_CASE("a wort that has not fermented shows its original gravity") {
  const double plato = GENERATE(8.0, 12.0, 16.0, 22.0);
  const auto original = to_specific_gravity(Plato{plato});
  CHECK(refractometer_gravity(plato * 1.04, original).value().value() ==
        Approx(original.value()).margin(1e-9).epsilon(0));
}

TEST_CASE("a lower reading is a lower gravity, without a step where the line begins") {
  const double plato = GENERATE(8.0, 12.0, 16.0, 20.0);
  const auto original = to_specific_gravity(Plato{plato});
  double before = refractometer_gravity(1.04 * plato, original).value().value();
  for (double share = 0.999; share > 0.4; share -= 0.001) {
    CAPTURE(share);
    const double now = refractometer_gravity(1.04 * plato * share, original).value().value();
    CHECK(now < before);
    CHECK(before - now < 0.0003);
    before = now;
  }
}

TEST_CASE("impossible readings are refused") {
  const auto original = SpecificGravity::unchecked(1.048);
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double reading : {-0.1, 40.1, nan}) CHECK_FALSE(refractometer_gravity(reading, original));
  for (const double factor : {0.0, 0.8, 1.3, nan}) CHECK_FALSE(refractometer_gravity(6, original, factor));
  CHECK_FALSE(refractometer_gravity(6, SpecificGravity::unchecked(1.010)));
  CHECK_FALSE(refractometer_gravity(6, SpecificGravity::unchecked(1.150)));
}
