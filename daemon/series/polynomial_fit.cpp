#include "series/polynomial_fit.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "series/least_squares.h"

namespace gyle {
namespace {

template <std::size_t N>
std::array<double, N> powers(double u) {
  std::array<double, N> p{};
  double power = 1;
  for (double& one : p) {
    one = power;
    power *= u;
  }
  return p;
}

// The polynomial in x that `of_u` is in u = (x - middle) / half.
template <std::size_t N>
Polynomial unscaled(const std::array<double, N>& of_u, double middle, double half) {
  Polynomial result;
  for (std::size_t i = N; i-- > 0;) {  // Horner's scheme with polynomials
    std::array<double, kHighestDegree + 1> next{};
    for (std::size_t k = 0; k < N; ++k) {
      next[k] -= result.coefficients[k] * middle / half;
      if (k > 0) next[k] += result.coefficients[k - 1] / half;
    }
    next[0] += of_u[i];
    result.coefficients = next;
  }
  return result;
}

template <std::size_t N>
std::optional<PolynomialFit> fit(std::span<const double> x, std::span<const double> y) {
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  const double middle = (*low + *high) / 2;
  const double half = (*high - *low) / 2;
  if (!(half > 0) || !std::isfinite(half)) return std::nullopt;
  NormalEquations<N> equations;
  for (std::size_t i = 0; i < x.size(); ++i) equations.add(y[i], powers<N>((x[i] - middle) / half), 1);
  equations.mirror();
  const auto factor = Cholesky<N>::of(equations.matrix);
  if (!factor) return std::nullopt;
  const std::array<double, N> of_u = factor->solve(equations.gradient);
  PolynomialFit result;
  result.curve = unscaled(of_u, middle, half);
  for (std::size_t i = 0; i < x.size(); ++i) {
    const auto row = powers<N>((x[i] - middle) / half);
    const auto drawn = factor->solve(row);
    double leverage = 0, there = 0;
    for (std::size_t k = 0; k < N; ++k) {
      leverage += row[k] * drawn[k];
      there += row[k] * of_u[k];
    }
    result.residuals.push_back(y[i] - there);
    result.leverages.push_back(leverage);
  }
  const auto finite = [](double value) { return std::isfinite(value); };
  if (!std::all_of(result.residuals.begin(), result.residuals.end(), finite)) return std::nullopt;
  return result;
}

std::size_t different(std::span<const double> x) {
  std::vector<double> sorted(x.begin(), x.end());
  std::sort(sorted.begin(), sorted.end());
  return static_cast<std::size_t>(std::unique(sorted.begin(), sorted.end()) - sorted.begin());
}

}  // namespace

double Polynomial::at(double x) const {
  double value = 0;
  for (std::size_t i = coefficients.size(); i-- > 0;) value = value * x + coefficients[i];
  return value;
}

bool Polynomial::monotone(double low, double high) const {
  const auto slope = [this](double x) {
    return coefficients[1] + x * (2 * coefficients[2] + x * 3 * coefficients[3]);
  };
  const double first = slope(low);
  if (!(first * slope(high) > 0)) return false;
  if (coefficients[3] == 0) return true;
  const double turn = -coefficients[2] / (3 * coefficients[3]);  // where the slope is least or most
  return turn <= low || turn >= high || first * slope(turn) > 0;
}

double PolynomialFit::left_out(std::size_t point) const {
  const double free = 1 - leverages[point];
  return free > 1e-9 ? residuals[point] / free : std::numeric_limits<double>::infinity();
}

std::optional<PolynomialFit> fit_polynomial(std::span<const double> x, std::span<const double> y,
                                            std::size_t degree) {
  if (x.size() != y.size() || different(x) <= degree) return std::nullopt;
  switch (degree) {
    case 1:
      return fit<2>(x, y);
    case 2:
      return fit<3>(x, y);
    case 3:
      return fit<4>(x, y);
    default:
      return std::nullopt;
  }
}

}  // namespace gyle
