#include "brewday/yeast_pitch.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace gyle;

// By hand: 12 L of 12 degP (1.04837, NBS Circular C440 table 114) at 0.75 million cells per mL and degree are
// 12000 x 12 x 0.75 = 108000 million. The rates are common practice, no source.
TEST_CASE("cells follow volume, gravity and rate") {
  const SpecificGravity twelve = SpecificGravity::unchecked(1.04837);
  const auto ale = yeast_need(12, twelve, kAleRate);
  REQUIRE(ale.has_value());
  CHECK(ale.value().billion_cells == Approx(108).margin(0.12).epsilon(0));
  CHECK(ale.value().dry_grams == Approx(10.8).margin(0.03).epsilon(0));
  CHECK(ale.value().dry_grams_low == Approx(7.2).margin(0.03).epsilon(0));
  CHECK(ale.value().dry_grams_high == Approx(18).margin(0.05).epsilon(0));
  CHECK(yeast_need(12, twelve, kCoolRate).value().billion_cells == Approx(2 * ale.value().billion_cells));
  const auto stated = yeast_need(12, twelve, kAleRate, 20);
  CHECK(stated.value().dry_grams == Approx(5.4).margin(0.03).epsilon(0));
  CHECK(stated.value().dry_grams_low == stated.value().dry_grams_high);
}

TEST_CASE("an impossible pitch is refused") {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  const SpecificGravity og = SpecificGravity::unchecked(1.048);
  for (const double volume : {0.0, -20.0, 1e9, kNone}) CHECK_FALSE(yeast_need(volume, og, 0.75).has_value());
  for (const double gravity : {1.0, 1.2, kNone})
    CHECK_FALSE(yeast_need(20, SpecificGravity::unchecked(gravity), 0.75).has_value());
  for (const double rate : {0.0, -1.0, 750.0, kNone}) CHECK_FALSE(yeast_need(20, og, rate).has_value());
  for (const double cells : {-1.0, 10e9, kNone}) CHECK_FALSE(yeast_need(20, og, 0.75, cells).has_value());
}
