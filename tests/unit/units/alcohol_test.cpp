#include "units/alcohol.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "support/reference.h"

using namespace gyle;

// tests/reference/abv_examples.csv: Balling's equations as ASBC and EBC use them (read),
// with the 0.1808/0.8192 split of the real extract from memory; the 131.25 rule, common practice, no source;
// the factors of the UK tax guidance. The conversion to degrees Plato is good to 0.005 degP, which is as
// much alcohol at most. Two gravities do not know better than this: the routes of Balling lie up to 0.2 % by
// volume apart.
TEST_CASE("every route to alcohol gives its own figure, and their spread is reported") {
  const auto rows = test::reference_csv("abv_examples.csv");
  REQUIRE(rows.size() == 15);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0], rows[i][1]);
    const AlcoholRoutes found =
        alcohol_by_routes(SpecificGravity::unchecked(number(0)), SpecificGravity::unchecked(number(1)))
            .value();
    CHECK(found.original_extract.value == Approx(number(2)).margin(0.01).epsilon(0));
    CHECK(found.apparent_extract.value == Approx(number(3)).margin(0.01).epsilon(0));
    CHECK(found.real_extract.value == Approx(number(4)).margin(0.01).epsilon(0));
    CHECK(100 * found.weight_balling == Approx(number(5)).margin(0.005).epsilon(0));
    CHECK(100 * found.volume_balling == Approx(number(6)).margin(0.005).epsilon(0));
    CHECK(100 * found.volume_quotient == Approx(number(7)).margin(0.005).epsilon(0));
    CHECK(100 * found.volume_rule == Approx(number(8)).margin(0.0006).epsilon(0));
    CHECK(100 * found.volume_uk_table.value() == Approx(number(9)).margin(0.0006).epsilon(0));
    CHECK(100 * found.apparent_attenuation == Approx(number(10)).margin(0.006).epsilon(0));
    CHECK(100 * found.apparent_extract_share == Approx(number(11)).margin(0.03).epsilon(0));
    CHECK(100 * found.real_attenuation == Approx(number(12)).margin(0.03).epsilon(0));
    CHECK(found.least_volume() <= found.volume_quotient);
    CHECK(found.most_volume() >= found.volume_balling);
    CHECK(100 * (found.most_volume() - found.least_volume()) < 0.4);
  }
}

// tests/reference/balling_factors.csv, compiled from Balling's tables (F. Eckhardt, 1995).
TEST_CASE("the quotient gives Balling's own factors from 6 to 30 degrees Plato") {
  const auto rows = test::reference_csv("balling_factors.csv");
  REQUIRE(rows.size() == 32);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const auto number = [&](std::size_t column) { return std::atof(rows[i][column].c_str()); };
    CAPTURE(rows[i][0]);
    const SpecificGravity original = to_specific_gravity(Plato{number(0)});
    const SpecificGravity present = to_specific_gravity(Plato{number(0) / 4});
    const AlcoholRoutes found = alcohol_by_routes(original, present).value();
    const double fall = found.original_extract.value - found.apparent_extract.value;
    CHECK(100 * found.weight_quotient / fall == Approx(number(1)).margin(0.00012).epsilon(0));
  }
}

// tests/reference/uk_abv_factors.csv: HMRC Notice 226; range and method read, rows from memory.
TEST_CASE("the factor of the UK grows where its table says, and ends where it ends") {
  const auto rows = test::reference_csv("uk_abv_factors.csv");
  REQUIRE(rows.size() == 12);
  const auto factor = [](double points) {
    const auto found =
        alcohol_by_routes(SpecificGravity::unchecked(1 + points / 1000), SpecificGravity::unchecked(1.0));
    return 100 * found.value().volume_uk_table.value_or(0) / points;
  };
  for (std::size_t i = 1; i < rows.size(); ++i) {
    const double last = std::atof(rows[i][0].c_str());
    if (last < 10) continue;  // no original gravity is so low
    CAPTURE(last);
    CHECK(factor(last) == Approx(std::atof(rows[i][1].c_str())).margin(1e-9));
    const double next = i + 1 < rows.size() ? std::atof(rows[i + 1][1].c_str()) : 0;
    CHECK(factor(last + 0.1) == Approx(next).margin(1e-9));
  }
}

TEST_CASE("unfermented wort holds no alcohol; impossible values are refused") {
  const auto sg = [](double v) { return SpecificGravity::unchecked(v); };
  CHECK(alcohol_by_routes(sg(1.048), sg(1.048)).value().volume_balling == Approx(0).margin(1e-12));
  CHECK(alcohol_by_routes(sg(1.048), sg(1.050)).error().code == Errc::out_of_range);
  CHECK(alcohol_by_routes(sg(1.005), sg(1.000)).error().code == Errc::out_of_range);
  CHECK(alcohol_by_routes(sg(1.140), sg(1.020)).error().code == Errc::out_of_range);
  CHECK(alcohol_by_routes(sg(1.048), sg(0.985)).error().code == Errc::out_of_range);
}
