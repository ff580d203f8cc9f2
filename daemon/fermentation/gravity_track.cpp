#include "fermentation/gravity_track.h"

#include <algorithm>
#include <cmath>

#include "series/robust_statistics.h"

namespace gyle {
namespace {

constexpr double kKeptAnew = 0.6;
constexpr double kGate = 4;             // standard deviations; beyond is a spike or a jump
constexpr double kSlopePriorSd = 0.12;  // points per K
constexpr double kLeastWhiteVar = 0.02;
constexpr double kBendH = 4;
constexpr double kWanderBend = 3.9;  // 6 - 8 r(4 h) + 2 r(8 h) for the wander's memory
constexpr double kFirstWanderVar = 0.15;
constexpr std::size_t kDoubtsForJump = 5;

// A square that is to be averaged into a variance, cut at 2.5 variances so that spikes do not inflate it, and
// corrected for what the cut takes from normal noise (Huber's proposal 2).
double huberised_square(double square, double variance) {
  constexpr double kCut = 2.5;
  constexpr double kKept = 0.809;  // E min(z^2, kCut)
  return std::min(square, kCut * variance) / kKept;
}

}  // namespace

GravityTrack::GravityTrack(double time_h, double points, double warmth_reference)
    : bank_(points, -0.02, {9.0, 0.09, kFirstWanderVar, kSlopePriorSd * kSlopePriorSd}),
      reference_(warmth_reference),
      first_h_(time_h),
      last_h_(time_h),
      wander_var_(kFirstWanderVar) {
  doubts_.reserve(kDoubtsForJump + 1);
}

void GravityTrack::offer(double time_h, double thermal_h, double points, std::optional<double> celsius) {
  if (celsius) warmth_ = *celsius - reference_;
  const double gap_h = time_h - last_h_;
  if (gap_h > 0) {
    const double capped = std::min(gap_h, 4.0);
    interval_h_ = interval_h_ == 0 ? capped : interval_h_ + 0.1 * (capped - interval_h_);
  }
  bank_.predict(gap_h, std::sqrt(wander_var_), FloatNoise::kWanderH, drive_ * gap_h);
  last_h_ = time_h;
  const double scatter_var = learn_noise(time_h, points);
  const double reading = points - lifted_;
  const auto expected = bank_.expect(warmth_, white_var_);
  const double z = (reading - expected.value) / std::sqrt(expected.variance);
  if (std::abs(z) > kGate) {
    doubt(time_h, points);
    return;
  }
  if (!doubts_.empty()) doubts_.erase(doubts_.begin());
  const double noise_var = white_var_ * std::max(1.0, z * z / 4);
  bank_.update(reading, warmth_, noise_var);
  history_.add(time_h, thermal_h, reading, warmth_, white_var_ / noise_var, scatter_var);
}

double GravityTrack::learn_noise(double time_h, double points) {
  ++seen_;
  double square = white_var_;
  if (seen_ > 2) {
    const double bend = points - 2 * recent_[1] + recent_[0];
    square = huberised_square(bend * bend, 6 * white_var_) / 6;
    const double gain = std::max(1.0 / (seen_ + 8), 0.02);
    white_var_ = std::max(kLeastWhiteVar, white_var_ + gain * (square - white_var_));
  }
  recent_ = {recent_[1], points};
  learn_wander(time_h);
  return square;
}

// The means of hours some way apart bend by what is left of the white noise and by the slow noise.
void GravityTrack::learn_wander(double time_h) {
  const auto& hours = history_.hours();
  if (hours.size() < 4 || hours.size() == hours_seen_ ||
      std::floor(time_h) == std::floor(hours.back().time_h))
    return;
  hours_seen_ = hours.size();
  const HourMean& now = hours.back();
  const auto earlier = [&](double by_h) -> const HourMean* {
    for (std::size_t i = hours.size(); i-- > 0;) {
      const double age_h = now.time_h - hours[i].time_h;
      if (age_h > by_h + 1) return nullptr;
      if (age_h > by_h - 0.6 && !hours[i].suspect) return &hours[i];
    }
    return nullptr;
  };
  const HourMean* middle = earlier(kBendH);
  const HourMean* old = earlier(2 * kBendH);
  if (middle == nullptr || old == nullptr) return;
  const double bend = now.points - 2 * middle->points + old->points;
  const double own = white_var_ * (1 / std::max(0.5, now.readings) + 4 / std::max(0.5, middle->readings) +
                                   1 / std::max(0.5, old->readings));
  const double square = (huberised_square(bend * bend, kWanderBend * wander_var_ + own) - own) / kWanderBend;
  wander_var_ = std::clamp(wander_var_ + 0.02 * (square - wander_var_), 0.01 + 0.06 * white_var_, 4.0);
}

void GravityTrack::doubt(double time_h, double points) {
  if (doubts_.empty()) doubt_since_h_ = time_h;
  doubts_.push_back({time_h, points});
  if (doubts_.size() > kDoubtsForJump) doubts_.erase(doubts_.begin());
  if (doubts_.size() < kDoubtsForJump || time_h - doubt_since_h_ < std::max(0.75, 3 * interval_h_)) return;
  std::array<double, kDoubtsForJump> values;
  std::transform(doubts_.begin(), doubts_.end(), values.begin(), [](const Jump& d) { return d.size; });
  const double spread = mad_sigma(values);
  if (spread > std::max(1.5, 2.5 * std::sqrt(white_var_))) return;
  const double to = median_in_place(values);
  jump(time_h, to, to - lifted_ - bank_.expect(warmth_, white_var_).value);
  doubts_.clear();
}

void GravityTrack::jump(double time_h, double to, double size) {
  const auto release = [&] {
    const double slope = bank_.mixture().mean()[TrendFilter::kSlope];
    bank_.release_level(to - lifted_ - slope * warmth_, 1.0 + 0.04 * size * size, 0.02);
  };
  last_jump_ = Jump{time_h, size};
  if (size > 0) {
    if (unexplained_fall_ && std::abs(unexplained_fall_->size + size) < 0.4 * size + 1) {
      // What fell has come back: the float had been pressed down, the beer had not moved.
      history_.suspect(unexplained_fall_->time_h - 2, time_h);
      unexplained_fall_.reset();
      release();
      return;
    }
    lifted_ += size;
    return;
  }
  const double back = std::min(lifted_, -size);
  lifted_ -= back;
  if (size + back > -1) return;
  unexplained_fall_ = Jump{time_h, size + back};
  // A float that hung while the beer went on: what it showed meanwhile is not the beer's.
  const auto& hours = history_.hours();
  const double held = hours.empty() ? to : hours.back().points;
  double since_h = time_h;
  for (std::size_t i = hours.size(); i-- > 3;) {
    if (std::abs(hours[i].points - held) > -0.3 * size || time_h - hours[i].time_h > 96) break;
    since_h = hours[i].time_h;
  }
  history_.suspect(since_h, time_h);
  release();
}

void GravityTrack::drive(double rate, bool anew) {
  if (anew) bank_.shift_rate(kKeptAnew * (drive_ - rate));
  drive_ = rate;
}

GravityTrack::Estimate GravityTrack::estimate() const {
  const TrendFilter now = bank_.mixture();
  const auto& mean = now.mean();
  const auto& var = now.covariance();
  return {mean[TrendFilter::kLevel],         std::sqrt(std::max(var[0][0], 1e-6)),
          mean[TrendFilter::kRate] + drive_, std::sqrt(std::max(var[1][1], 1e-10)),
          mean[TrendFilter::kSlope],         std::sqrt(std::max(var[3][3], 0.0))};
}

double GravityTrack::shown(const Estimate& at, double* sd) const {
  if (sd != nullptr) {
    const auto var = bank_.mixture().covariance();
    *sd = std::sqrt(std::max(1e-6, var[0][0] + 2 * warmth_ * var[0][3] + warmth_ * warmth_ * var[3][3]));
  }
  return at.level + at.warmth_slope * warmth_;
}

}  // namespace gyle
