#include "fermentation/what_if.h"

#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"
#include "series/student_t.h"

namespace gyle {
namespace {

// How long after the true end it is reported; from the simulated batches used for tuning (split wide).
constexpr double kSlope = 0.12;          // points per day
constexpr double kQuietH = 40;           // hours in which a quiet hydrometer shows it
constexpr double kLeastDetectionH = 14;  // median with a quiet hydrometer
constexpr double kDetectionShare = 0.2;
constexpr double kDetectionSpread = 0.9;  // log
constexpr double kDetectionEarlyH = 15;
constexpr double kReadyWider = 1.4;
constexpr double kShareToCome = 0.3;  // of a report that is overdue

}  // namespace

// How long after the true end it will be reported, one sample of the distribution: a noisy hydrometer has to
// be watched for longer before a creep can be ruled out.
double Tracker::Judgement::detection_h(std::size_t which) const {
  if (!primary_) return 0;
  const GravityTrack& track = tracks_.at(*primary_);
  const SensorNoise noise = track.noise();
  // Variance of an hourly mean, slow noise counted over its memory; then the hours after which a slope is
  // known to kSlope: its standard error is 24 sqrt(12 v / T^3) points per day.
  const double v =
      noise.white_var * std::max(track.interval_h(), 1.0 / 60) + 2 * noise.wander_h * noise.wander_var;
  const double known_h = std::cbrt(12 * v * (24 / kSlope) * (24 / kSlope));
  const double median_h = kLeastDetectionH + kDetectionShare * std::max(0.0, known_h - kQuietH);
  constexpr double kGolden = 0.7548776662466927;
  double whole;
  const double u = std::modf((static_cast<double>(which) + 0.5) * kGolden, &whole);
  return median_h * std::exp(kDetectionSpread * normal_quantile(std::clamp(u, 0.01, 0.99))) -
         kDetectionEarlyH;
}

Outlook Tracker::Judgement::outlook(const WhatIf& question) const {
  Outlook outlook{};
  if (const auto known = watch_.gravity_known();
      known && hours_since_pitch(clock_.now()) > known->current_until_h) {
    outlook.forecast.time = clock_.now();
    return outlook;  // no forecast from outdated readings
  }
  std::vector<WeightedValue> ends;
  outlook.forecast = make_forecast(clock_.now(), question.hold, &ends);
  if (final_since_) {
    ends = {{hours_since_pitch(*final_since_), 1.0}};
  } else {
    const double now_h = hours_since_pitch(clock_.now());
    std::size_t which = 0;
    for (WeightedValue& end : ends) {
      const double extra_h = detection_h(which++);
      end.value = std::max(end.value + in_hours(spec_.final_gravity.window) + extra_h,
                           now_h + kShareToCome * std::max(extra_h, 1.0));
    }
  }
  if (ends.empty()) return outlook;
  if (!final_since_) {
    // Widened for the correlation of courses and detection; from simulated batches (split wide).
    const double now_h = hours_since_pitch(clock_.now());
    const double middle = weighted_quantile(ends, 0.5);
    for (WeightedValue& end : ends) {
      end.value = std::max(middle + kReadyWider * (end.value - middle), std::min(now_h + 1, end.value));
    }
  }
  if (outlook.forecast.end_unknown) return outlook;
  if (final_since_ || outlook.forecast.final_time) {
    outlook.ready_time = time_interval(interval_of(ends));
  }
  if (question.ready_by) {
    double in_time = 0, sum = 0;
    for (const WeightedValue& end : ends) {
      sum += end.weight;
      if (end.value <= hours_since_pitch(*question.ready_by)) in_time += end.weight;
    }
    outlook.chance_ready = in_time / sum;
  }
  return outlook;
}

}  // namespace gyle
