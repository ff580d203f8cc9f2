#pragma once

#include <array>

namespace gyle {

// What disturbs a trend, per hour.
struct TrendNoise {
  double level_var = 0;  // added to the level's variance
  double rate_var = 0;   // added to the rate's variance, and through it to the level's
  double wander_sd = 0;  // of slow noise of the sensor, not of the level
  double wander_h = 1;   // correlation time of that noise; > 0
  double rate_h = 0;     // correlation time of the rate; 0: infinite
};

// Level and rate of a noisy series at irregular times: a Kalman filter with the states
//   level, rate          integrated random walk (local linear trend), or a rate that goes back to 0
//   wander               the sensor's correlated noise: Ornstein-Uhlenbeck about 0
//   slope                of the reading with a covariate (a hydrometer's bias with temperature)
// A reading is level + wander + slope * covariate + white noise. With wander and slope at zero variance it is
// the textbook local linear trend, with the rate at zero too the local level.
//   units   hours; the reading's own
//   source  Kalman 1960; Harvey 1989; continuous-time noise integrated over each gap
class TrendFilter {
 public:
  static constexpr int kLevel = 0, kRate = 1, kWander = 2, kSlope = 3, kStates = 4;
  using Vector = std::array<double, kStates>;
  using Matrix = std::array<Vector, kStates>;
  struct Expectation {
    double value;
    double variance;
  };

  // Independent prior variances of the four states; means of level and rate.
  TrendFilter(double level, double rate, const Vector& variances);

  void predict(double dt_h, const TrendNoise& noise);  // dt_h >= 0
  Expectation expect(double covariate, double noise_var) const;
  void update(double reading, double covariate, double noise_var);

  const Vector& mean() const { return mean_; }
  const Matrix& covariance() const { return covariance_; }
  void add_variance(int state, double variance) {
    covariance_[static_cast<std::size_t>(state)][static_cast<std::size_t>(state)] += variance;
  }
  void shift(int state, double by) { mean_[static_cast<std::size_t>(state)] += by; }

  // Moment-matched mean of several filters; weights sum to 1.
  template <std::size_t N>
  static TrendFilter mixture(const std::array<TrendFilter, N>& filters, const std::array<double, N>& weights);

 private:
  Vector mean_;
  Matrix covariance_{};
};

template <std::size_t N>
TrendFilter TrendFilter::mixture(const std::array<TrendFilter, N>& filters,
                                 const std::array<double, N>& weights) {
  TrendFilter mixed(0, 0, Vector{});
  for (std::size_t f = 0; f < N; ++f) {
    for (std::size_t i = 0; i < kStates; ++i) mixed.mean_[i] += weights[f] * filters[f].mean_[i];
  }
  for (std::size_t f = 0; f < N; ++f) {
    Vector apart;
    for (std::size_t i = 0; i < kStates; ++i) apart[i] = filters[f].mean_[i] - mixed.mean_[i];
    for (std::size_t i = 0; i < kStates; ++i) {
      for (std::size_t j = 0; j < kStates; ++j) {
        mixed.covariance_[i][j] += weights[f] * (filters[f].covariance_[i][j] + apart[i] * apart[j]);
      }
    }
  }
  return mixed;
}

}  // namespace gyle
