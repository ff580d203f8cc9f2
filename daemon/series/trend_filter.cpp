#include "series/trend_filter.h"

#include <cmath>

namespace gyle {

TrendFilter::TrendFilter(double level, double rate, const Vector& variances) : mean_{level, rate, 0, 0} {
  for (std::size_t i = 0; i < kStates; ++i) covariance_[i][i] = variances[i];
}

void TrendFilter::predict(double dt_h, const TrendNoise& noise) {
  if (dt_h <= 0) return;
  const double keep = std::exp(-dt_h / noise.wander_h);
  const double rate_keep = noise.rate_h > 0 ? std::exp(-dt_h / noise.rate_h) : 1.0;
  const double reach =
      noise.rate_h > 0 ? noise.rate_h * (1 - rate_keep) : dt_h;  // of the rate into the level
  mean_[kLevel] += reach * mean_[kRate];
  mean_[kRate] *= rate_keep;
  mean_[kWander] *= keep;
  Matrix& p = covariance_;
  // P <- F P F' + Q: first the rows, then the columns.
  for (std::size_t j = 0; j < kStates; ++j) {
    p[kLevel][j] += reach * p[kRate][j];
    p[kRate][j] *= rate_keep;
    p[kWander][j] *= keep;
  }
  for (std::size_t i = 0; i < kStates; ++i) {
    p[i][kLevel] += reach * p[i][kRate];
    p[i][kRate] *= rate_keep;
    p[i][kWander] *= keep;
  }
  const double fed = noise.rate_h > 0 ? noise.rate_h / 2 * (1 - rate_keep * rate_keep) : dt_h;
  p[kRate][kRate] += noise.rate_var * fed;
  double level = dt_h * dt_h * dt_h / 3;
  double across = dt_h * dt_h / 2;
  if (noise.rate_h > 0 && dt_h > 0.02 * noise.rate_h) {  // shorter: the difference drowns in rounding
    level = noise.rate_h * noise.rate_h * (dt_h - 2 * reach + fed);
    across = reach * reach / 2;
  }
  p[kLevel][kLevel] += noise.level_var * dt_h + noise.rate_var * level;
  p[kLevel][kRate] += noise.rate_var * across;
  p[kRate][kLevel] += noise.rate_var * across;
  p[kWander][kWander] += noise.wander_sd * noise.wander_sd * (1 - keep * keep);
}

TrendFilter::Expectation TrendFilter::expect(double covariate, double noise_var) const {
  const Matrix& p = covariance_;
  const Vector h{1, 0, 1, covariate};
  double variance = noise_var;
  for (std::size_t i = 0; i < kStates; ++i) {
    for (std::size_t j = 0; j < kStates; ++j) variance += h[i] * h[j] * p[i][j];
  }
  return {mean_[kLevel] + mean_[kWander] + covariate * mean_[kSlope], variance};
}

void TrendFilter::update(double reading, double covariate, double noise_var) {
  const Expectation expected = expect(covariate, noise_var);
  if (!(expected.variance > 0)) return;
  Matrix& p = covariance_;
  Vector ph;
  for (std::size_t i = 0; i < kStates; ++i) ph[i] = p[i][kLevel] + p[i][kWander] + covariate * p[i][kSlope];
  const double innovation = reading - expected.value;
  for (std::size_t i = 0; i < kStates; ++i) mean_[i] += ph[i] / expected.variance * innovation;
  for (std::size_t i = 0; i < kStates; ++i) {
    for (std::size_t j = 0; j < kStates; ++j) p[i][j] -= ph[i] * ph[j] / expected.variance;
  }
}

}  // namespace gyle
