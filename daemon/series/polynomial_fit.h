#pragma once

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace gyle {

constexpr std::size_t kHighestDegree = 3;

// c0 + c1 x + c2 x^2 + c3 x^3.
struct Polynomial {
  std::array<double, kHighestDegree + 1> coefficients{};

  double at(double x) const;
  // Whether it rises or falls strictly from `low` to `high`.
  bool monotone(double low, double high) const;
};

struct PolynomialFit {
  Polynomial curve;
  std::vector<double> residuals;  // y - curve, in the order of the points
  std::vector<double> leverages;  // how much each point attracts the curve: 1 when it must go through

  // The distance of the point from the curve through all the others; infinite when they determine none.
  double left_out(std::size_t point) const;
};

// The polynomial of this degree (1 to 3) that leaves the least sum of squares. Nothing when the points do not
// have degree + 1 different x, or are not finite.
//   source  Householder QR in x scaled to -1 ... 1; leave-one-out residuals e / (1 - h), Allen 1974
//   tests   unit/series/polynomial_fit_test.cpp
std::optional<PolynomialFit> fit_polynomial(std::span<const double> x, std::span<const double> y,
                                            std::size_t degree);

}  // namespace gyle
