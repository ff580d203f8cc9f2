#include "units/gravity.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// Table 114 of NBS Circular C440: specific gravity 20/20 in air (tests/reference/plato_sg.csv, column 4). The
// fit departs by 0.0048 degP at most; the column has five digits, worth 0.0025 degP.
TEST_CASE("specific gravity and extract agree with the sucrose table both ways") {
  const auto rows = test::reference_csv("plato_sg.csv");
  REQUIRE(rows.size() == 32);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const double plato = std::stod(rows[i][0]);
    const double gravity = std::stod(rows[i][3]);
    CAPTURE(plato);
    CHECK(to_plato(SpecificGravity::unchecked(gravity)).value == Approx(plato).margin(0.005).epsilon(0));
    CHECK(to_specific_gravity(Plato{plato}).value() == Approx(gravity).margin(2.5e-5).epsilon(0));
  }
}

// The same cubic evaluated elsewhere (tests/reference/plato_sg_formulas.csv).
TEST_CASE("the coefficients are those published") {
  const auto row = test::reference_csv("plato_sg_formulas.csv").at(1);
  REQUIRE(row.at(0) == "nbs_c440_cubic");
  const double at[] = {1.000, 1.048, 1.060, 1.100};
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(to_plato(SpecificGravity::unchecked(at[i])).value ==
          Approx(std::stod(row.at(2 + i))).margin(5e-5).epsilon(0));
  }
}

TEST_CASE("the two conversions undo each other") {
  for (double plato = -3; plato <= 30; plato += 0.25) {
    CAPTURE(plato);
    CHECK(to_plato(to_specific_gravity(Plato{plato})).value == Approx(plato).margin(1e-6).epsilon(0));
  }
}

TEST_CASE("a specific gravity is one that a liquid in a brewery can have") {
  struct Row {
    const char* name;
    double in;
    bool ok;
    const char* hint;
  };
  const auto row = GENERATE(values<Row>({
      {"water", 1.000, true, ""},
      {"strong wort", 1.120, true, ""},
      {"dry cider", 0.990, true, ""},
      {"lowest", 0.980, true, ""},
      {"highest", 1.200, true, ""},
      {"just below", 0.97999, false, "0.980 to 1.200"},
      {"points sent as SG", 48, false, "points or degrees Plato"},
      {"thousandths", 1050, false, "1.0500"},
      {"zero", 0, false, "0.980 to 1.200"},
      {"negative", -1.05, false, "0.980 to 1.200"},
      {"not a number", std::numeric_limits<double>::quiet_NaN(), false, ""},
      {"infinite", std::numeric_limits<double>::infinity(), false, ""},
  }));
  CAPTURE(row.name);
  const auto gravity = SpecificGravity::from(row.in);
  CHECK(gravity.has_value() == row.ok);
  if (!gravity) CHECK_THAT(gravity.error().message, Catch::Contains(row.hint));
}

TEST_CASE("a difference of gravities is in points") {
  const auto original = SpecificGravity::unchecked(1.048);
  const auto now = SpecificGravity::unchecked(1.010);
  CHECK((original - now).value == Approx(38));
  CHECK((now + GravityPoints{38}).value() == Approx(1.048));
  CHECK((original - GravityPoints{38}).value() == Approx(1.010));
}
