#include "series/student_t.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/reference.h"

using namespace gyle;

// SciPy 1.10 (tests/reference/scripts/stats_ref.py). Its Student quantiles are good to eight digits only: for
// two degrees of freedom t = (2p - 1) sqrt(2 / (4p (1 - p))) is exact, and Boost agrees with that to fifteen.
TEST_CASE("quantiles and distribution functions agree with SciPy") {
  const auto reference = test::reference_json("stats_reference.json");
  for (const auto& row : reference["student_t_quantiles"]) {
    CHECK(student_t_quantile(row["p"], row["df"]) == Approx(row["t"].get<double>()).epsilon(1e-8));
  }
  CHECK(student_t_quantile(0.99, 2) == Approx(0.98 * std::sqrt(2 / (4 * 0.99 * 0.01))).epsilon(1e-14));
  for (const auto& row : reference["student_t_cdf"]) {
    CHECK(student_t_cdf(row["t"], row["df"]) == Approx(row["cdf"].get<double>()).epsilon(1e-9));
  }
  for (const auto& row : reference["normal_quantiles"]) {
    CHECK(normal_quantile(row["p"]) == Approx(row["z"].get<double>()).epsilon(1e-9));
    CHECK(normal_cdf(row["z"]) == Approx(row["p"].get<double>()).epsilon(1e-9));
  }
}
