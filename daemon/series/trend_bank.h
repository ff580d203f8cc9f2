#pragma once

#include <array>

#include "series/trend_filter.h"

namespace gyle {

// Several trend filters with different process noise of the rate, weighted by how well each has predicted the
// last readings: the bank follows a quiet series closely and a lively one quickly.
//   source  interacting multiple models, Blom and Bar-Shalom 1988
//   cost    four filter steps per reading; no allocation
class TrendBank {
 public:
  static constexpr std::size_t kFilters = 4;
  // Standard deviation gained by the rate in an hour, in the reading's units per hour.
  static constexpr std::array<double, kFilters> kRestlessness{0.0005, 0.01, 0.05, 0.25};
  static constexpr double kRateH = 16;  // memory of a rate that differs from the model's

  TrendBank(double level, double rate, const TrendFilter::Vector& variances);

  // `wander_sd`, `wander_h`: the sensor's slow noise. `driven`: what a model expects the level to change by;
  // the rate of the filters is what the level does beyond it.
  void predict(double dt_h, double wander_sd, double wander_h, double driven);
  // The model expects another rate: the total rate of the level stays the same.
  void shift_rate(double by);
  void shift(int state, double by);
  void add_variance(int state, double variance);
  // Of the whole mixture.
  TrendFilter::Expectation expect(double covariate, double noise_var) const;
  void update(double reading, double covariate, double noise_var);

  TrendFilter mixture() const { return TrendFilter::mixture(filters_, weights_); }
  const std::array<double, kFilters>& weights() const { return weights_; }

  // The series has jumped to a new level: forget the level, keep the rest.
  void release_level(double to, double level_var, double rate_var);

 private:
  std::array<TrendFilter, kFilters> filters_;
  std::array<double, kFilters> weights_;
};

}  // namespace gyle
