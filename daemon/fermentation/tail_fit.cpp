#include "fermentation/tail_fit.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "series/least_squares.h"
#include "series/robust_statistics.h"
#include "series/student_t.h"

namespace gyle {
namespace {

constexpr std::array<double, 6> kQuickH{6, 11, 18, 30, 50, 80};
constexpr double kQuickSd = 5;  // points
// Creeps: how fast they go at first and how long they last.
constexpr std::array<double, 4> kCreepRate{0.2, 0.3, 0.5, 1.0};  // points per day
constexpr std::array<double, 2> kCreepH{200, 800};
constexpr double kCreepRateSd = 0.15;  // relative
// Slow parts of beers that do end.
constexpr std::array<double, 3> kBenignH{50, 90, 150};
constexpr double kBenignMass = 0.5;  // probability, of tails that do not creep
constexpr double kBenign = 0.7;      // points
constexpr double kBenignSd = 0.5;
constexpr double kMostSpan = 5;  // points above the present that belong to the tail
constexpr double kLeastHours = 12;
constexpr std::size_t kLeastPoints = 4;
constexpr double kStrayVar = 0.02;  // points^2, of an hour

constexpr double kCareful = 1.5;  // slow noise is poorly known, and underestimating it is costly

enum : std::size_t { kLevel, kQuick, kSlow, kWarmth, kCount };
using Vector = std::array<double, kCount>;

double lower_tail(double z) { return normal_cdf(std::clamp(z, -30.0, 30.0)); }

}  // namespace

std::optional<TailFit> TailFit::of(std::span<const HourMean> hours, double now_thermal_h, double speed,
                                   double slow_prior, const SensorNoise& noise, double warmth_slope,
                                   double warmth_slope_sd) {
  // From the present backwards while the running mean of three hours stays within the span.
  if (hours.empty()) return std::nullopt;
  const std::vector<HourMean> points = condensed(hours, hours.back().time_h);
  std::size_t first = points.size();
  double present = 0;
  int of_present = 0;
  while (first > 0) {
    const HourMean& hour = points[first - 1];
    const double level = hour.points - warmth_slope * hour.warmth;
    if (of_present < 2 || (of_present < 8 && hours.back().time_h - hour.time_h < 8)) {
      present += (level - present) / ++of_present;
    } else if (level > present + kMostSpan) {
      break;
    }
    --first;
  }
  if (points.size() - first < kLeastPoints || hours.back().time_h - points[first].time_h < kLeastHours) {
    return std::nullopt;
  }
  const std::span<const HourMean> tail(points.begin() + static_cast<std::ptrdiff_t>(first), points.end());
  TailFit fit;
  const double from_thermal_h = tail.front().thermal_h;

  const SensorNoise careful{noise.white_var, kCareful * noise.wander_var};
  std::vector<double> weights(tail.size());
  for (std::size_t i = 0; i < tail.size(); ++i) {
    weights[i] = 1 / (careful.of_hour(tail[i]) + kStrayVar / std::max(1.0, tail[i].span_h));
  }
  std::vector<double> log_weights;
  const auto add = [&](double quick_h, double slow_h, double creep_rate, double prior) {
    const auto basis = [&](double thermal_h, double warmth) {
      const double since = thermal_h - from_thermal_h;
      return Vector{1.0, std::exp(-since / quick_h), slow_h > 0 ? std::exp(-since / slow_h) : 0.0, warmth};
    };
    const bool creep = creep_rate > 0;
    const double slow_mean = creep ? slow_h / speed * creep_rate / 24 : slow_h > 0 ? kBenign : 0.0;
    const double slow_sd = creep ? slow_mean * kCreepRateSd : slow_h > 0 ? kBenignSd : 1e-3;
    Vector solution{};
    std::optional<Cholesky<kCount>> factor;
    double cost = 0;
    for (int round = 0; round < 2; ++round) {
      NormalEquations<kCount> sums;
      const auto prior_term = [&](std::size_t i, double mean, double sd) {
        Vector slope{};
        slope[i] = 1 / sd;
        sums.add(-mean / sd, slope, 1);  // the residual at solution 0
      };
      prior_term(kLevel, present, 20);
      prior_term(kQuick, 2, kQuickSd);
      prior_term(kSlow, slow_mean, slow_sd);
      prior_term(kWarmth, warmth_slope, std::max(0.01, warmth_slope_sd));
      for (std::size_t i = 0; i < tail.size(); ++i) {
        const Vector h = basis(tail[i].thermal_h, tail[i].warmth);
        double robust = 1;
        if (round > 0) {
          double expected = 0;
          for (std::size_t k = 0; k < kCount; ++k) expected += h[k] * solution[k];
          robust = student_weight((tail[i].points - expected) * std::sqrt(weights[i]), 5);
        }
        sums.add(-tail[i].points, h, weights[i] * robust);
      }
      sums.mirror();
      factor = Cholesky<kCount>::of(sums.matrix);
      if (!factor) return;
      solution = factor->solve(sums.gradient);
      for (double& x : solution) x = -x;
      cost = sums.cost;
      for (std::size_t k = 0; k < kCount; ++k) cost += 0.5 * sums.gradient[k] * solution[k];
    }
    const Vector now = basis(now_thermal_h, 0);
    const Vector what{0, now[kQuick], now[kSlow], 0};
    const Vector spread = factor->solve(what);
    double variance = 0, left = 0;
    for (std::size_t k = 0; k < kCount; ++k) {
      variance += what[k] * spread[k];
      left += what[k] * solution[k];
    }
    const Vector level = factor->solve(Vector{1, 0, 0, 0});
    const double left_sd = std::sqrt(std::max(variance, 1e-8));
    // Gravity does not rise: a solution counts by its probability of not rising.
    const double upright = std::max(1e-6, lower_tail(left / left_sd));
    fit.endings_.push_back({0, left, left_sd, solution[kLevel], std::sqrt(std::max(level[kLevel], 0.0)),
                            now[kSlow] * solution[kSlow], now[kQuick] * solution[kQuick], quick_h, slow_h,
                            creep});
    log_weights.push_back(std::log(prior * upright) - cost - factor->log_determinant() / 2 -
                          std::log(slow_sd));
  };
  for (const double quick_h : kQuickH) {
    const double prior = 1.0 / kQuickH.size();
    const double benign = kBenignMass * (1 - slow_prior) * prior;
    add(quick_h, 0, 0, (1 - slow_prior) * prior - benign);
    for (const double slow_h : kBenignH) add(quick_h, slow_h, 0, benign / kBenignH.size());
    for (const double creep_h : kCreepH) {
      for (const double rate : kCreepRate) {
        add(quick_h, creep_h * speed, rate, slow_prior * prior / (kCreepH.size() * kCreepRate.size()));
      }
    }
  }
  if (log_weights.empty()) return std::nullopt;
  const double best = *std::max_element(log_weights.begin(), log_weights.end());
  double sum = 0;
  for (std::size_t i = 0; i < log_weights.size(); ++i) {
    fit.endings_[i].weight = std::exp(log_weights[i] - best);
    sum += fit.endings_[i].weight;
  }
  for (Ending& ending : fit.endings_) ending.weight /= sum;
  return fit;
}

double TailFit::chance_left_above(double points) const {
  double chance = 0;
  for (const Ending& e : endings_) {
    const double upright = std::max(1e-9, lower_tail(e.left / e.left_sd));
    chance += e.weight * std::min(1.0, lower_tail((e.left - points) / e.left_sd) / upright);
  }
  return chance;
}

double TailFit::chance_fell_above(double points, double window_h) const {
  double chance = 0;
  for (const Ending& e : endings_) {
    const double quick = e.quick_left * (std::exp(std::min(window_h / e.quick_h, 50.0)) - 1);
    const double slow = e.slow_h > 0 ? e.slow_left * (std::exp(window_h / e.slow_h) - 1) : 0.0;
    // The change is a multiple of what is left, and so is its error.
    const double sd = e.left_sd * std::max(0.2, std::abs(quick + slow) / std::max(0.02, std::abs(e.left)));
    chance += e.weight * lower_tail((quick + slow - points) / sd);
  }
  return chance;
}

double TailFit::left() const {
  double mean = 0;
  for (const Ending& e : endings_) mean += e.weight * std::max(0.0, e.left);
  return mean;
}

}  // namespace gyle
