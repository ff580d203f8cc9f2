#include "series/robust_statistics.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/reference.h"

using namespace gyle;

// Computed with NumPy and SciPy (tests/reference/scripts/stats_ref.py).
TEST_CASE("median and median absolute deviation agree with SciPy") {
  for (const auto reference = test::reference_json("stats_reference.json");
       const auto& row : reference["mad"]) {
    const std::vector<double> x = row["x"];
    CHECK(median(x) == Approx(row["median"].get<double>()).epsilon(1e-12));
    CHECK(mad_sigma(x) == Approx(row["mad_normal"].get<double>()).epsilon(1e-12).margin(1e-14));
    CHECK(kMadToSigma == Approx(row["scale_factor_normal"].get<double>()).epsilon(1e-14));
  }
  CHECK(std::isnan(median({})));
}

TEST_CASE("Hampel's identifier agrees with its definition, ends and ties included") {
  for (const auto reference = test::reference_json("stats_reference.json");
       const auto& row : reference["hampel"]) {
    CAPTURE(row["name"].get<std::string>());
    const std::vector<double> x = row["x"];
    const auto verdicts =
        hampel(x, row["half_window"].get<std::size_t>(), row["threshold_sigmas"].get<double>());
    REQUIRE(verdicts.size() == x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
      CAPTURE(i);
      CHECK(verdicts[i].median == Approx(row["median"][i].get<double>()).epsilon(1e-12));
      CHECK(verdicts[i].sigma == Approx(row["sigma"][i].get<double>()).epsilon(1e-9).margin(1e-12));
      CHECK(verdicts[i].outlier == row["flag"][i].get<bool>());
    }
  }
}

// Huber 1964: 1 inside k, k/|r| outside. Student: (n + 1) / (n + r^2), the weight of the t likelihood.
TEST_CASE("weights fall with the size of a residual") {
  CHECK(huber_weight(1.0) == 1.0);
  CHECK(huber_weight(-2.69) == Approx(0.5));
  CHECK(student_weight(3.0, 5.0) == Approx(6.0 / 14.0));
  CHECK(student_weight(0.0, 5.0) == 1.0);
}
