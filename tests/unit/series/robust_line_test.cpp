#include "series/robust_line.h"

#include <catch2/catch.hpp>

#include "series/equivalence.h"
#include "support/reference.h"

using namespace gyle;

// SciPy's theilslopes (tests/reference/scripts/stats_ref.py); its interval follows Sen 1968.
TEST_CASE("Theil-Sen line agrees with SciPy") {
  for (const auto reference = test::reference_json("stats_reference.json");
       const auto& row : reference["slopes"]) {
    CAPTURE(row["name"].get<std::string>());
    const std::vector<double> t = row["t"], y = row["y"];
    const auto line = theil_sen(t, y);
    REQUIRE(line.has_value());
    CHECK(line.value().slope == Approx(row["theil_sen_slope"].get<double>()).margin(1e-12));
    CHECK(line.value().intercept == Approx(row["theil_sen_intercept"].get<double>()).epsilon(1e-12));
    CHECK(line.value().slope_low == Approx(row["theil_sen_ci95"][0].get<double>()).margin(1e-12));
    CHECK(line.value().slope_high == Approx(row["theil_sen_ci95"][1].get<double>()).margin(1e-12));
  }
}

// statsmodels RLM, HuberT(1.345), scale by MAD. Five digits: both stop by their own rule.
TEST_CASE("Huber's line agrees with statsmodels") {
  const auto row = test::reference_json("stats_reference.json")["huber_regression"];
  const std::vector<double> t = row["t"], y = row["y"];
  const auto line = huber_line(t, y);
  REQUIRE(line.has_value());
  CHECK(line.value().slope == Approx(row["params"][1].get<double>()).epsilon(1e-5));
  CHECK(line.value().centre - line.value().slope * line.value().centre_t ==
        Approx(row["params"][0].get<double>()).epsilon(1e-5));
  CHECK(line.value().scale == Approx(row["scale"].get<double>()).epsilon(1e-3));
}

TEST_CASE("a line needs three different times") {
  const std::vector<double> twice{1, 1, 2}, y{1, 2, 3};
  CHECK(theil_sen(twice, y).error().code == Errc::too_few);
  CHECK(huber_line(twice, y).error().code == Errc::too_few);
  CHECK_FALSE(theil_sen({}, {}).has_value());
}

TEST_CASE("two spoiled values in seven leave the slope") {
  const std::vector<double> t{0, 1, 2, 3, 4, 5, 6}, y{10, 9, 8, 40, 6, -30, 4};
  CHECK(theil_sen(t, y).value().slope == Approx(-1.0));
}

// SciPy and statsmodels (ttost_ind, ttost_paired, DescrStatsW.ttost_mean): the t statistics give estimate and
// error back, whatever the design.
TEST_CASE("equivalence tests agree with statsmodels") {
  for (const auto reference = test::reference_json("stats_reference.json");
       const auto& row : reference["tost"]) {
    CAPTURE(row["kind"].get<std::string>());
    const double low = row["low"], high = row["upp"];
    const double t_low = row["lower"]["t"], t_high = row["upper"]["t"];
    const double se = (high - low) / (t_low - t_high);
    const double estimate = low + t_low * se - (low + high) / 2;
    CHECK(equivalence_p(estimate, se, row["lower"]["df"], (high - low) / 2) ==
          Approx(row["p"].get<double>()).epsilon(1e-8));
  }
  for (const auto reference = test::reference_json("stats_reference.json");
       const auto& row : reference["slope_equivalence"]) {
    CHECK(equivalence_p(row["slope"], row["se"], row["df"], row["delta"]) ==
          Approx(row["p"].get<double>()).epsilon(1e-8));
  }
  CHECK(equivalence_p(0.1, 0, 5, 0.2) == 0.0);
  CHECK(equivalence_p(0.3, 0, 5, 0.2) == 1.0);
}
