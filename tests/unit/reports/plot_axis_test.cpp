#include "reports/plot_axis.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("steps are round, and divide the range into no more than the requested number") {
  CHECK(round_step(0.040, 5) == Approx(0.01));
  CHECK(round_step(0.041, 5) == Approx(0.01));
  CHECK(round_step(0.051, 5) == Approx(0.02));
  CHECK(round_step(12, 5) == Approx(5));
  CHECK(round_step(10, 5) == Approx(2));
  for (const double range : {1e-4, 0.0037, 0.9, 1.0, 6.0, 47.0, 9e5}) {
    CAPTURE(range);
    CHECK(range / round_step(range, 5) <= 5 + 1e-9);
    CHECK(range / round_step(range, 5) >= 1.9);
  }
}

TEST_CASE("an axis holds its round values, and places them in proportion") {
  const auto values = round_values(1.0095, 1.0501, 0.01);
  REQUIRE(values.size() == 5);
  CHECK(values.front() == Approx(1.010));
  CHECK(values.back() == Approx(1.050));
  CHECK(round_values(0, 1e9, 1).size() == 100);
  const PlotAxis axis{1.010, 1.050, 262, 76};
  CHECK(axis.place(1.010) == Approx(262));
  CHECK(axis.place(1.050) == Approx(76));
  CHECK(axis.place(1.020) == Approx(215.5));
  CHECK_FALSE(axis.holds(1.0501));
}
