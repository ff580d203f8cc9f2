#include "brewday/wort.h"

#include <catch2/catch.hpp>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// tests/reference/plato_sg.csv: a litre of a solution of so many percent holds that share of its density.
TEST_CASE("extract of a wort is that of the sucrose table, and back again") {
  const auto rows = test::reference_csv("plato_sg.csv");
  for (std::size_t i = 2; i < rows.size(); ++i) {
    CAPTURE(rows[i][0]);
    const double percent = std::stod(rows[i][0]);
    const double density = std::stod(rows[i][1]) * 0.999972;  // of water at 4 degC; kg/L
    const auto wort = wort_of(20, SpecificGravity::unchecked(std::stod(rows[i][3])));
    REQUIRE(wort.has_value());
    CHECK(wort.value().extract_kg == Approx(20 * density * percent / 100).margin(0.002).epsilon(0));
    const auto again = wort_with(20, wort.value().extract_kg);
    if (percent > 29.9) continue;
    REQUIRE(again.has_value());
    CHECK(again.value().mass_kg == Approx(wort.value().mass_kg));
    CHECK(again.value().volume_l() == Approx(20));
    CHECK(again.value().gravity().value() == Approx(std::stod(rows[i][3])).margin(1e-5).epsilon(0));
  }
}

// The same table: 1 kg of a solution of p % is p/100 kg of sugar and the rest water; what it has more of
// volume than that water is the sugar's.
TEST_CASE("sugar takes up 0.62 litres a kilogram") {
  for (const auto& row : test::reference_csv("plato_sg.csv")) {
    if (row[0] != "5" && row[0] != "10" && row[0] != "20") continue;
    const double share = std::stod(row[0]) / 100;
    const double volume = 1 / (std::stod(row[1]) * 0.999972);
    CHECK((volume - (1 - share) / 0.998204) / share == Approx(kLitresPerKgSugar).margin(0.005).epsilon(0));
  }
}

// Kell 1975: water of 70 degC weighs 977.76 kg/m3, of 20 degC 998.20.
TEST_CASE("a volume measured hot is less at 20 degrees") {
  CHECK(volume_at_20(30, Celsius{70}).value() == Approx(30 * 977.76 / 998.20).epsilon(1e-5));
  CHECK(volume_at_20(30, Celsius{20}).value() == Approx(30));
}

TEST_CASE("impossible wort is refused") {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  const auto sg = [](double value) { return SpecificGravity::unchecked(value); };
  for (const double volume : {0.0, -20.0, 1e9, kNone}) {
    CHECK_FALSE(wort_of(volume, sg(1.05)).has_value());
    CHECK_FALSE(wort_with(volume, 1).has_value());
    CHECK_FALSE(volume_at_20(volume, Celsius{70}).has_value());
  }
  for (const double gravity : {0.99, 1.14, kNone}) CHECK_FALSE(wort_of(20, sg(gravity)).has_value());
  for (const double extract : {-1.0, 10.0, 1e6, kNone}) CHECK_FALSE(wort_with(20, extract).has_value());
  for (const double celsius : {-1.0, 106.0, 300.0, kNone})
    CHECK_FALSE(volume_at_20(20, Celsius{celsius}).has_value());
}
