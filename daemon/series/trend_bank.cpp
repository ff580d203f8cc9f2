#include "series/trend_bank.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

// A filter hands over to its neighbours about once in this many hours.
constexpr double kSojournH = 60;
constexpr double kLeastWeight = 1e-4;

}  // namespace

TrendBank::TrendBank(double level, double rate, const TrendFilter::Vector& variances)
    : filters_{TrendFilter(level, rate, variances), TrendFilter(level, rate, variances),
               TrendFilter(level, rate, variances), TrendFilter(level, rate, variances)},
      weights_{0.7, 0.2, 0.07, 0.03} {}

void TrendBank::predict(double dt_h, double wander_sd, double wander_h, double driven) {
  if (dt_h <= 0) return;
  const double leave = 0.5 * (1 - std::exp(-dt_h / kSojournH));
  std::array<double, kFilters> predicted{};
  std::array<std::array<double, kFilters>, kFilters> share{};  // [to][from]
  for (std::size_t from = 0; from < kFilters; ++from) {
    const double down = from > 0 ? leave : 0;
    const double up = from + 1 < kFilters ? leave : 0;
    share[from][from] = weights_[from] * (1 - down - up);
    if (from > 0) share[from - 1][from] = weights_[from] * down;
    if (from + 1 < kFilters) share[from + 1][from] = weights_[from] * up;
  }
  const auto before = filters_;
  for (std::size_t to = 0; to < kFilters; ++to) {
    for (const double part : share[to]) predicted[to] += part;
    for (double& part : share[to]) part /= predicted[to];
    filters_[to] = TrendFilter::mixture(before, share[to]);
    filters_[to].predict(dt_h, {0, kRestlessness[to] * kRestlessness[to], wander_sd, wander_h, kRateH});
    filters_[to].shift(TrendFilter::kLevel, driven);
  }
  weights_ = predicted;
}

void TrendBank::shift_rate(double by) { shift(TrendFilter::kRate, by); }

void TrendBank::shift(int state, double by) {
  for (TrendFilter& filter : filters_) filter.shift(state, by);
}

void TrendBank::add_variance(int state, double variance) {
  for (TrendFilter& filter : filters_) filter.add_variance(state, variance);
}

TrendFilter::Expectation TrendBank::expect(double covariate, double noise_var) const {
  double value = 0, square = 0;
  for (std::size_t f = 0; f < kFilters; ++f) {
    const auto one = filters_[f].expect(covariate, noise_var);
    value += weights_[f] * one.value;
    square += weights_[f] * (one.variance + one.value * one.value);
  }
  return {value, std::max(square - value * value, noise_var)};
}

void TrendBank::update(double reading, double covariate, double noise_var) {
  double sum = 0;
  for (std::size_t f = 0; f < kFilters; ++f) {
    const auto one = filters_[f].expect(covariate, noise_var);
    const double apart = reading - one.value;
    weights_[f] *= std::exp(-0.5 * std::min(apart * apart / one.variance, 40.0)) / std::sqrt(one.variance);
    filters_[f].update(reading, covariate, noise_var);
    sum += weights_[f];
  }
  double floored = 0;
  for (double& weight : weights_) {
    weight = std::max(weight / sum, kLeastWeight);
    floored += weight;
  }
  for (double& weight : weights_) weight /= floored;
}

void TrendBank::release_level(double to, double level_var, double rate_var) {
  const double by = to - mixture().mean()[TrendFilter::kLevel];
  for (TrendFilter& filter : filters_) {
    filter.shift(TrendFilter::kLevel, by);
    filter.add_variance(TrendFilter::kLevel, level_var);
    filter.add_variance(TrendFilter::kRate, rate_var);
  }
}

}  // namespace gyle
