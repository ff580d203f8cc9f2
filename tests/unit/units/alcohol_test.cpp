#include "units/alcohol.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "support/reference.h"

using namespace gyle;

// The conversion to degrees Plato is good to 0.005 degP, which is as much alcohol at most.
TEST_CASE("alcohol and real attenuation are those of Balling's equations, and near the other routes") {
  const auto rows = test::reference_csv("abv_examples.csv");
  REQUIRE(rows.size() == 15);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0], rows[i][1]);
    const auto found = alcohol(SpecificGravity::unchecked(number(0)), SpecificGravity::unchecked(number(1)));
    REQUIRE(found);
    CHECK(100 * found.value().by_weight == Approx(number(5)).margin(0.005).epsilon(0));
    CHECK(100 * found.value().by_volume == Approx(number(6)).margin(0.005).epsilon(0));
    CHECK(100 * found.value().by_volume == Approx(number(7)).margin(0.2).epsilon(0));
    CHECK(100 * found.value().by_volume == Approx(number(9)).margin(0.3).epsilon(0));
    CHECK(100 * found.value().real_attenuation == Approx(number(12)).margin(0.02).epsilon(0));
  }
}

TEST_CASE("unfermented wort holds no alcohol; what cannot be is refused") {
  const auto sg = [](double v) { return SpecificGravity::unchecked(v); };
  CHECK(alcohol(sg(1.048), sg(1.048)).value().by_volume == Approx(0).margin(1e-12));
  CHECK(alcohol(sg(1.048), sg(1.050)).error().code == Errc::out_of_range);
  CHECK(alcohol(sg(1.005), sg(1.000)).error().code == Errc::out_of_range);
  CHECK(alcohol(sg(1.140), sg(1.020)).error().code == Errc::out_of_range);
  CHECK(alcohol(sg(1.048), sg(0.985)).error().code == Errc::out_of_range);
}
