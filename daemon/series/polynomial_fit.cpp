#include "series/polynomial_fit.h"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>
#include <limits>

namespace gyle {
namespace {

// The polynomial in x that `of_u` is in u = (x - middle) / half.
Polynomial unscaled(const Eigen::VectorXd& of_u, double middle, double half) {
  Polynomial result;
  for (Eigen::Index i = of_u.size(); i-- > 0;) {  // Horner's scheme with polynomials
    std::array<double, kHighestDegree + 1> next{};
    for (std::size_t k = 0; k < static_cast<std::size_t>(of_u.size()); ++k) {
      next[k] -= result.coefficients[k] * middle / half;
      if (k > 0) next[k] += result.coefficients[k - 1] / half;
    }
    next[0] += of_u[i];
    result.coefficients = next;
  }
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
  if (degree < 1 || degree > kHighestDegree || x.size() != y.size() || different(x) <= degree) {
    return std::nullopt;
  }
  const auto [low, high] = std::minmax_element(x.begin(), x.end());
  const double middle = (*low + *high) / 2;
  const double half = (*high - *low) / 2;
  if (!(half > 0) || !std::isfinite(half)) return std::nullopt;
  const auto points = static_cast<Eigen::Index>(x.size()), parameters = static_cast<Eigen::Index>(degree + 1);
  Eigen::MatrixXd powers(points, parameters);
  Eigen::VectorXd values(points);
  for (Eigen::Index i = 0; i < points; ++i) {
    const double u = (x[static_cast<std::size_t>(i)] - middle) / half;
    for (Eigen::Index k = 0; k < parameters; ++k) powers(i, k) = k == 0 ? 1.0 : powers(i, k - 1) * u;
    values[i] = y[static_cast<std::size_t>(i)];
  }
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(powers);
  const Eigen::VectorXd of_u = qr.solve(values);
  const Eigen::VectorXd residuals = values - powers * of_u;
  // The diagonal of the hat matrix Q Q'.
  const Eigen::MatrixXd q = qr.householderQ() * Eigen::MatrixXd::Identity(points, parameters);
  const Eigen::VectorXd leverages = q.rowwise().squaredNorm();
  if (!residuals.allFinite()) return std::nullopt;
  return PolynomialFit{unscaled(of_u, middle, half),
                       {residuals.data(), residuals.data() + points},
                       {leverages.data(), leverages.data() + points}};
}

}  // namespace gyle
