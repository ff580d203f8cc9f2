#include "series/polynomial_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/reference.h"

using namespace gyle;

// numpy.polyfit, and for the points left out a second fit without them
// (tests/reference/scripts/inclination_fit_ref.py). Nine digits of the gravity: double precision leaves more,
// and no hydrometer shows the fifth.
TEST_CASE("polynomials, their residuals and what they miss a point left out by agree with NumPy") {
  const auto reference = test::reference_json("inclination_fit.json");
  int fits = 0;
  for (const auto& row : reference["cases"]) {
    const std::vector<double> x = row["inclination"], y = row["gravity"];
    for (const auto& expected : row["fits"]) {
      CAPTURE(row["name"].get<std::string>(), expected["degree"].get<int>());
      const auto degree = expected["degree"].get<std::size_t>();
      const auto fit = fit_polynomial(x, y, degree);
      REQUIRE(fit.has_value());
      const std::vector<double> c = expected["coefficients"];
      for (std::size_t k = 0; k < 4; ++k) {
        CHECK(fit->curve.coefficients[k] == Approx(k < c.size() ? c[k] : 0).epsilon(1e-6).margin(1e-15));
      }
      for (std::size_t i = 0; i < x.size(); ++i) {
        CAPTURE(i);
        CHECK(fit->residuals[i] == Approx(expected["residuals"][i].get<double>()).margin(1e-9));
        CHECK(fit->curve.at(x[i]) == Approx(y[i] - fit->residuals[i]).margin(1e-9));
        const auto& left_out = expected["left_out"][i];
        if (left_out.is_null()) {
          CHECK(std::isinf(fit->left_out(i)));
        } else {
          CHECK(fit->left_out(i) == Approx(left_out.get<double>()).margin(1e-9));
        }
      }
      ++fits;
    }
  }
  CHECK(fits == 12);
}

TEST_CASE("a polynomial needs one more different x than its degree") {
  const std::vector<double> x{1, 2, 2, 1}, y{1, 2, 3, 4};
  CHECK(fit_polynomial(x, y, 1));
  CHECK_FALSE(fit_polynomial(x, y, 2));
  CHECK_FALSE(fit_polynomial(std::vector<double>{3, 3}, std::vector<double>{1, 2}, 1));
  CHECK_FALSE(fit_polynomial(std::vector<double>{}, std::vector<double>{}, 1));
  CHECK_FALSE(fit_polynomial(x, y, 0));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  CHECK_FALSE(fit_polynomial(std::vector<double>{1, nan, 3}, std::vector<double>{1, 2, 3}, 1));
  CHECK_FALSE(fit_polynomial(std::vector<double>{1, 2, 3}, std::vector<double>{1, nan, 3}, 1));
}

TEST_CASE("whether a polynomial is monotone is known from its slope everywhere between") {
  struct Row {
    const char* name;
    std::array<double, 4> c;
    double low, high;
    bool monotone;
  };
  const auto row = GENERATE(values<Row>({
      {"a rising line", {1, 2, 0, 0}, -5, 5, true},
      {"a falling line", {1, -2, 0, 0}, -5, 5, true},
      {"a level line", {1, 0, 0, 0}, -5, 5, false},
      {"a parabola beside its vertex", {0, 0, 1, 0}, 0.1, 4, true},
      {"a parabola across its vertex", {0, 0, 1, 0}, -0.1, 4, false},
      {"a cubic between its turns, x^3 - 3 x", {0, -3, 0, 1}, -0.9, 0.9, true},
      {"across one of them", {0, -3, 0, 1}, -0.9, 1.1, false},
      {"across both, rising at either end", {0, -3, 0, 1}, -3, 3, false},
      {"a cubic without turns, x^3 + x", {0, 1, 0, 1}, -3, 3, true},
  }));
  CAPTURE(row.name);
  CHECK(Polynomial{row.c}.monotone(row.low, row.high) == row.monotone);
}
