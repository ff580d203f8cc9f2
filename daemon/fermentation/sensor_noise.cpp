#include "fermentation/sensor_noise.h"

#include <array>

namespace gyle {
namespace {

constexpr std::array<double, 7> kWanderSd{0.04, 0.12, 0.2, 0.32, 0.5, 0.75, 1.1};  // points, at rest
constexpr std::array<double, 7> kWanderPrior{0.25, 0.15, 0.17, 0.17, 0.14, 0.08, 0.04};
constexpr std::array<double, 4> kWanderH{0.7, 2, 5, 10};
constexpr std::array<double, 2> kActiveFactor{1, 3};
constexpr double kRateWalk =
    0.006;  // of the beer away from its course, points per hour, gained in an hour, at rest
constexpr double kActiveRateWalk = 0.025;  // at full activity
constexpr double kFirstLevelSd = 3;
constexpr double kFirstRateSd = 0.1;
constexpr double kCut = 9;  // squared innovation over its variance: beyond it an hour is an outlier

// Log likelihood of the innovations: a level whose rate walks, an Ornstein-Uhlenbeck process, white noise.
double likelihood(std::span<const Residual> residuals, double wander_sd, double wander_h, double factor) {
  double level = residuals.front().points, rate = 0, wander = 0;  // the last of unit variance, scaled below
  double ll = kFirstLevelSd * kFirstLevelSd, lr = 0, lw = 0;
  double rr = kFirstRateSd * kFirstRateSd, rw = 0, ww = 1;
  double log_likelihood = 0, last_h = residuals.front().time_h;
  for (const Residual& r : residuals) {
    const double gap_h = r.time_h - last_h;
    last_h = r.time_h;
    const double kept = std::exp(-gap_h / wander_h);
    const double walk = kRateWalk + (kActiveRateWalk - kRateWalk) * r.activity;
    const double q = walk * walk;
    level += gap_h * rate;
    wander *= kept;
    ll += gap_h * (2 * lr + gap_h * rr) + q * gap_h * gap_h * gap_h / 3;
    lr += gap_h * rr + q * gap_h * gap_h / 2;
    rr += q * gap_h;
    lw = kept * (lw + gap_h * rw);
    rw *= kept;
    ww = 1 + (ww - 1) * kept * kept;
    const double b = wander_sd * (1 + (factor - 1) * r.activity);
    const double hl = ll + b * lw, hr = lr + b * rw, hw = lw + b * ww;
    double variance = hl + b * hw + r.white_var;
    const double off = r.points - level - b * wander;
    const double square = std::min(off * off / variance, kCut);
    log_likelihood -= 0.5 * (square + std::log(variance));
    if (off * off > kCut * variance) variance = off * off / kCut;  // an outlier moves little
    level += hl / variance * off;
    rate += hr / variance * off;
    wander += hw / variance * off;
    ll -= hl * hl / variance;
    lr -= hl * hr / variance;
    lw -= hl * hw / variance;
    rr -= hr * hr / variance;
    rw -= hr * hw / variance;
    ww -= hw * hw / variance;
  }
  return log_likelihood;
}

}  // namespace

SensorNoise learnt_wander(std::span<const Residual> residuals, double white_var) {
  SensorNoise noise;
  noise.white_var = white_var;
  std::array<double, kWanderSd.size() * kWanderH.size() * kActiveFactor.size()> evidence{};
  double best = -1e300;
  std::size_t at = 0;
  for (std::size_t i = 0; i < kWanderSd.size(); ++i) {
    for (const double wander_h : kWanderH) {
      for (const double factor : kActiveFactor) {
        evidence[at] = std::log(kWanderPrior[i]) +
                       (residuals.empty() ? 0.0 : likelihood(residuals, kWanderSd[i], wander_h, factor));
        best = std::max(best, evidence[at++]);
      }
    }
  }
  double sum = 0, variance = 0, slow = 0;
  at = 0;
  for (const double sd : kWanderSd) {
    for (const double wander_h : kWanderH) {
      for (std::size_t f = 0; f < kActiveFactor.size(); ++f) {
        const double weight = std::exp(evidence[at++] - best);
        sum += weight;
        variance += weight * sd * sd;
        slow += weight * sd * sd * wander_h;
      }
    }
  }
  noise.wander_var = variance / sum;
  noise.wander_h = slow / variance;
  return noise;
}

}  // namespace gyle
