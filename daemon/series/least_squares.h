#pragma once

#include <Eigen/Cholesky>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>

namespace gyle {

// The Cholesky factor of a small symmetric positive definite matrix.
template <std::size_t N>
class Cholesky {
 public:
  using Vector = std::array<double, N>;
  using Matrix = std::array<Vector, N>;

  // Nothing when `a` is not positive definite, or not finite.
  static std::optional<Cholesky> of(const Matrix& a) {
    Cholesky c(a);
    if (c.factor_.info() != Eigen::Success || !std::isfinite(c.log_determinant())) return std::nullopt;
    return c;
  }

  Vector solve(const Vector& b) const { return plain(factor_.solve(column(b))); }
  // x with L' x = b: turns independent unit normals into draws with covariance A^-1.
  Vector solve_transposed(const Vector& b) const { return plain(factor_.matrixU().solve(column(b))); }
  double log_determinant() const {
    double sum = 0;
    for (Eigen::Index i = 0; i < kSize; ++i) sum += 2 * std::log(factor_.matrixLLT()(i, i));
    return sum;
  }

 private:
  static constexpr Eigen::Index kSize = static_cast<Eigen::Index>(N);
  using Column = Eigen::Matrix<double, kSize, 1>;
  using Square = Eigen::Matrix<double, kSize, kSize>;

  explicit Cholesky(const Matrix& a) : factor_(Square(Eigen::Map<const Square>(a.front().data()))) {}
  static Column column(const Vector& b) { return Eigen::Map<const Column>(b.data()); }
  static Vector plain(const Column& x) {
    Vector values;
    Eigen::Map<Column>(values.data()) = x;
    return values;
  }

  Eigen::LLT<Square> factor_;
};

// The sums of a problem at given parameters: half the sum of squares, its gradient and Gauss-Newton matrix. In
// plain arrays, which are added to for every reading.
template <std::size_t N>
struct NormalEquations {
  double cost = 0;
  std::array<double, N> gradient{};
  std::array<std::array<double, N>, N> matrix{};

  // One term weight * residual^2 / 2; `slope` = d residual / d parameters.
  void add(double residual, const std::array<double, N>& slope, double weight) {
    cost += weight * residual * residual / 2;
    for (std::size_t i = 0; i < N; ++i) {
      const double ws = weight * slope[i];
      gradient[i] += ws * residual;
      for (std::size_t j = 0; j <= i; ++j) matrix[i][j] += ws * slope[j];
    }
  }
  void mirror() {
    for (std::size_t i = 0; i < N; ++i) {
      for (std::size_t j = i + 1; j < N; ++j) matrix[i][j] = matrix[j][i];
    }
  }
};

template <std::size_t N>
struct LeastSquaresFit {
  std::array<double, N> parameters;
  NormalEquations<N> equations;  // there
  bool converged;
};

// Levenberg-Marquardt with Marquardt's scaling. `evaluate(parameters)` returns NormalEquations<N>, mirrored;
// a cost that is not finite counts as a refused step. Deterministic.
//   source  Levenberg 1944; Marquardt 1963; Nielsen's damping update 1999
template <std::size_t N, class Evaluate>
LeastSquaresFit<N> least_squares(std::array<double, N> start, Evaluate&& evaluate, int max_rounds,
                                 double tolerance) {
  LeastSquaresFit<N> fit{start, evaluate(start), false};
  double damping = 1e-3;
  double growth = 2;
  for (int round = 0; round < max_rounds && std::isfinite(fit.equations.cost); ++round) {
    auto damped = fit.equations.matrix;
    for (std::size_t i = 0; i < N; ++i) damped[i][i] += damping * (damped[i][i] + 1e-30);
    const auto factor = Cholesky<N>::of(damped);
    if (!factor) {
      damping *= growth;
      growth *= 2;
      if (damping > 1e16) break;
      continue;
    }
    const auto step = factor->solve(fit.equations.gradient);
    std::array<double, N> trial = fit.parameters;
    double promised = 0;
    for (std::size_t i = 0; i < N; ++i) {
      trial[i] -= step[i];
      promised += step[i] * (fit.equations.gradient[i] + damping * fit.equations.matrix[i][i] * step[i]) / 2;
    }
    const NormalEquations<N> there = evaluate(trial);
    const double gain = fit.equations.cost - there.cost;
    if (std::isfinite(there.cost) && gain >= 0) {
      const bool done = promised <= tolerance * (fit.equations.cost + 1e-300);
      const double quality = promised > 0 ? gain / promised : 1.0;
      damping *= std::fmax(1.0 / 3.0, 1 - std::pow(2 * quality - 1, 3));
      growth = 2;
      fit.parameters = trial;
      fit.equations = there;
      if (done) {
        fit.converged = true;
        break;
      }
    } else {
      if (promised <= tolerance * (fit.equations.cost + 1e-300)) {
        fit.converged = true;
        break;
      }
      damping *= growth;
      growth *= 2;
      if (damping > 1e16) break;
    }
  }
  return fit;
}

}  // namespace gyle
