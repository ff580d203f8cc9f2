#include "series/least_squares.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>

#include "support/reference.h"

using namespace gyle;

namespace {

template <std::size_t N>
using Model = std::function<double(const std::array<double, N>&, double)>;

// Fits from one of the two published starts; derivatives by central differences.
template <std::size_t N>
LeastSquaresFit<N> fit(const nlohmann::json& row, const char* start_name, const Model<N>& model) {
  const std::vector<double> x = row["x"], y = row["y"];
  const auto evaluate = [&](const std::array<double, N>& p) {
    NormalEquations<N> sums;
    for (std::size_t i = 0; i < x.size(); ++i) {
      std::array<double, N> slope{};
      for (std::size_t k = 0; k < N; ++k) {
        const double step = 1e-6 * std::max(std::abs(p[k]), 1e-12);
        auto up = p, down = p;
        up[k] += step;
        down[k] -= step;
        slope[k] = (model(up, x[i]) - model(down, x[i])) / (up[k] - down[k]);
      }
      sums.add(model(p, x[i]) - y[i], slope, 1);
    }
    sums.mirror();
    return sums;
  };
  std::array<double, N> start;
  for (std::size_t k = 0; k < N; ++k) start[k] = row[start_name][k];
  return least_squares<N>(start, evaluate, 2000, 1e-18);
}

// The certified values to six digits, as NIST counts agreement; the parameters' errors to four.
template <std::size_t N>
void check(const char* name, const char* start, const Model<N>& model) {
  CAPTURE(name, start);
  const auto row = test::reference_json("nist_strd.json")["datasets"][name];
  const auto found = fit<N>(row, start, model);
  for (std::size_t k = 0; k < N; ++k) {
    CAPTURE(k);
    CHECK(found.parameters[k] == Approx(row["certified"][k].get<double>()).epsilon(1e-6));
  }
  CHECK(2 * found.equations.cost == Approx(row["rss"].get<double>()).epsilon(1e-8));
  const auto factor = Cholesky<N>::of(found.equations.matrix);
  REQUIRE(factor.has_value());
  // Observations less parameters: Rat43's file says 9, but its certified errors are those of 11.
  const double freedom = static_cast<double>(row["x"].size() - N);
  const double variance = 2 * found.equations.cost / freedom;
  for (std::size_t k = 0; k < N; ++k) {
    std::array<double, N> unit{};
    unit[k] = 1;
    CHECK(std::sqrt(variance * factor->solve(unit)[k]) ==
          Approx(row["certified_sd"][k].get<double>()).epsilon(1e-4));
  }
}

double rational(const std::array<double, 7>& b, double x) {
  return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1 + x * (b[4] + x * (b[5] + x * b[6])));
}

}  // namespace

// NIST Statistical Reference Datasets, nonlinear regression: certified parameters from both published starts.
TEST_CASE("NIST's certified parameters are found from both starts") {
  const char* start = GENERATE("start1", "start2");
  check<2>("Misra1a", start, [](const auto& b, double x) { return b[0] * (1 - std::exp(-b[1] * x)); });
  check<3>("Rat42", start, [](const auto& b, double x) { return b[0] / (1 + std::exp(b[1] - b[2] * x)); });
  check<4>("Rat43", start,
           [](const auto& b, double x) { return b[0] / std::pow(1 + std::exp(b[1] - b[2] * x), 1 / b[3]); });
  check<3>("Chwirut2", start,
           [](const auto& b, double x) { return std::exp(-b[0] * x) / (b[1] + b[2] * x); });
  check<7>("Thurber", start, rational);
  check<7>("Hahn1", start, rational);
}

// From its far start MINPACK fails as well: the sum of squares falls on for ever along a valley.
TEST_CASE("NIST's MGH09 is found from the near start") {
  check<4>("MGH09", "start2",
           [](const auto& b, double x) { return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]); });
}
