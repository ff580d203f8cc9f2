#include "fermentation/gravity_track.h"

#include <algorithm>
#include <cmath>

#include "series/robust_statistics.h"

namespace gyle {
namespace {

constexpr double kKeptOfRefit = 0.6;
constexpr double kSlowestH = 36;        // one reading a day is the slowest rhythm
constexpr double kRareH = 2.5;          // readings farther apart are rare
constexpr double kFallInGap = 0.4;      // points per hour
constexpr double kFarApartH = 1.5;      // readings farther apart differ by more than their noise
constexpr double kGate = 4;             // standard deviations; beyond is a spike or a jump
constexpr double kSlopePriorSd = 0.12;  // points per K
constexpr double kLeastWhiteVar = 0.02;
constexpr double kNoiseH = 12;      // memory of the white noise, or 50 readings if that is shorter
constexpr double kDisplacedH = 16;  // memory of a displacement
constexpr double kCalmH = 3;
constexpr double kLastingH = 66;       // a jump that has not gone back by then is a new offset
constexpr double kLastingShare = 0.5;  // of its size, still there
constexpr double kLeastLasting = 1.5;  // points
constexpr double kBackShare =
    0.35;  // of a lasting jump: one in the other direction within this takes it back
constexpr double kLastHours = 12;
constexpr double kAddedH = 24;           // after an addition a jump is explained by it ...
constexpr double kAddedBeforeH = 2;      // ... or if it came so shortly before the time that was entered
constexpr double kAdditionDoubt = 0.35;  // of its effect: mixing, and amounts that were not weighed
constexpr std::size_t kYoungHours = 6;
constexpr double kLongestPinH = 96;
constexpr double kShortestPinH = 5;
constexpr double kFloorMargin = 2.5;  // points above the expected end: the beer may still fall
constexpr double kRising = 0.12;      // points per hour
constexpr double kRiseWithinH = 8;
constexpr double kLeastRise = 0.8;     // points
constexpr int kOffPin = 3;             // readings in a row elsewhere
constexpr double kTrembleH = 1.0;      // memory of the quick measure of trembling
constexpr double kPinnedShare = 0.10;  // of the variance of a free hydrometer
constexpr std::size_t kDoubtsForJump = 5;

// A square to be averaged into a variance, cut at 2.5 variances so that spikes do not inflate it, and
// corrected for what the cut takes from normal noise (Huber's proposal 2).
double huberised_square(double square, double variance) {
  constexpr double kCut = 2.5;
  constexpr double kKept = 0.809;  // E min(z^2, kCut)
  return std::min(square, kCut * variance) / kKept;
}

}  // namespace

GravityTrack::GravityTrack(double time_h, double points, Celsius warmth_reference)
    : bank_(points, -0.02, {9.0, 0.09, kFirstWanderShare * 0.5, kSlopePriorSd * kSlopePriorSd}),
      reference_(warmth_reference),
      first_h_(time_h),
      last_h_(time_h) {
  doubts_.reserve(kDoubtsForJump + 1);
}

void GravityTrack::offer(double time_h, double thermal_h, double points, std::optional<Celsius> temperature) {
  if (temperature) warmth_ = (*temperature - reference_).value;
  const double gap_h = time_h - last_h_;
  if (gap_h > 0) {
    const double capped = std::min(gap_h, kSlowestH);
    interval_h_ = interval_h_ == 0
                      ? capped
                      : interval_h_ + 0.15 * (std::min(capped, 4 * interval_h_ + 0.5) - interval_h_);
  }
  const double wander_sd = std::sqrt(wander_var());
  if (displacement_) {
    bank_.predict(gap_h, std::max(wander_sd, std::abs(displacement_->size)), kDisplacedH, drive_ * gap_h);
  } else {
    bank_.predict(gap_h, wander_sd, wander_h_, drive_ * gap_h);
  }
  driven_ += drive_ * gap_h;
  last_h_ = time_h;
  const double scatter_var = learn_noise(gap_h, points);
  notice_pin(time_h, points);
  if (pinned_since_h_) return;
  auto expected = bank_.expect(warmth_, white_var_);
  double z = (points - expected.value) / std::sqrt(expected.variance);
  if (z < -2 && gap_h > kRareH) {
    // Between readings so far apart a beer can fall by a lot: the filter is surer of the level than it may
    // be.
    bank_.add_variance(TrendFilter::kLevel, kFallInGap * kFallInGap * gap_h * gap_h);
    expected = bank_.expect(warmth_, white_var_);
    z = (points - expected.value) / std::sqrt(expected.variance);
  }
  if (std::abs(z) > kGate) {
    doubt(time_h, points);
    return;
  }
  if (!doubts_.empty()) doubts_.erase(doubts_.begin());
  const double noise_var = white_var_ * std::max(1.0, z * z / 4);
  bank_.update(points, warmth_, noise_var);
  history_.add({time_h, thermal_h, points, warmth_, white_var_ / noise_var, 1.0, scatter_var, driven_,
                displacement_.has_value()});
  if (displacement_) {
    end_displacement(time_h);
  } else {
    notice_rise(time_h);
  }
}

double GravityTrack::learn_noise(double gap_h, double points) {
  ++seen_;
  double square = white_var_;
  if (seen_ > 2 && gap_h < kFarApartH) {
    const double bend = points - 2 * recent_[1] + recent_[0];
    square = huberised_square(bend * bend, 6 * white_var_) / 6;
    const double gain = std::max(1.0 / (seen_ + 8), std::min(0.06, 1 - std::exp(-gap_h / kNoiseH)));
    const double quick = std::max(1.0 / (seen_ + 1), 1 - std::exp(-gap_h / kTrembleH));
    tremble_var_ += quick * (std::min(square, 4 * tremble_var_ + 0.02) - tremble_var_);
    if (!pinned_since_h_ && still_h_ == 0) {
      white_var_ = std::max(kLeastWhiteVar, white_var_ + gain * (square - white_var_));
    }
    if (seen_ > 40) quiet_var_ = std::min(quiet_var_, white_var_);
  }
  if (std::abs(points - std::round(points)) > 1e-6) coarse_ = false;
  recent_ = {recent_[1], points};
  return square;
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
  jump(time_h, to, to - bank_.expect(warmth_, white_var_).value);
  doubts_.clear();
}

void GravityTrack::add(double time_h, double keep, double points) {
  added_h_ = time_h;
  added_changes_ = keep < 1 || points > 0;
  if (!added_changes_) return;
  const double level = estimate().level;
  const double by = (keep - 1) * level + points;
  history_.change(1e300, keep, points);
  driven_ *= keep;
  bank_.shift(TrendFilter::kLevel, by);
  bank_.add_variance(TrendFilter::kLevel, 0.25 + kAdditionDoubt * kAdditionDoubt * by * by);
  for (double& value : recent_) value += by;
  if (floor_) *floor_ = keep * *floor_ + points;
  doubts_.clear();
}

bool GravityTrack::added_lately(double time_h) const {
  return added_h_ && time_h > *added_h_ - kAddedBeforeH && time_h - *added_h_ < kAddedH;
}

// The offset has changed for good: `by` since then, and `level` is shown now.
void GravityTrack::move(double since_h, double by, double level) {
  history_.change(since_h, 1, by);
  history_.trust(since_h);
  moved_ += by;
  const bool back = shift_ && shift_->lasting && std::abs(shift_->size + by) < kBackShare * std::abs(by);
  shift_ = back ? std::nullopt : std::optional(Shift{since_h, by, true});
  displacement_.reset();
  bank_.release_level(level, 1.0 + 0.01 * by * by, 0.02);
}

void GravityTrack::jump(double time_h, double to, double size) {
  last_jump_ = Jump{time_h, size};
  const auto& hours = history_.hours();
  const double slope_now = bank_.mixture().mean()[TrendFilter::kSlope];
  if (added_lately(time_h)) {
    if (added_changes_) {
      bank_.release_level(to - slope_now * warmth_, 1.0 + 0.04 * size * size, 0.02);
    } else {
      move(doubt_since_h_, size, to - slope_now * warmth_);
      if (shift_) shift_->explained = true;
    }
    return;
  }
  if (shift_ && shift_->lasting && std::abs(shift_->size + size) < kBackShare * std::abs(size)) {
    move(doubt_since_h_, size, to - slope_now * warmth_);
    return;
  }
  const bool young = hours.size() < kYoungHours;  // its first readings may have been the outliers
  if (size > 0 && !young) {
    displace(time_h, size);
    return;
  }
  // A hydrometer that hung while the beer fermented on: what it showed meanwhile is not the beer.
  double since_h = time_h;
  if (!hours.empty() && !young) {
    const double held = hours.back().points;
    for (std::size_t i = hours.size(); i-- > 3;) {
      if (std::abs(hours[i].points - held) > -0.3 * size || time_h - hours[i].time_h > kLongestPinH) break;
      since_h = hours[i].time_h;
    }
    const bool hung = time_h - since_h > kShortestPinH && (!floor_ || held > *floor_ + kFloorMargin);
    const bool may_start = drive_ == 0;  // no fall is expected yet: the beer itself has moved
    if (!hung && !may_start && floor_) {
      displace(time_h, size);
      return;
    }
    if (!may_start) history_.suspect(since_h, time_h);
  }
  const double slope = bank_.mixture().mean()[TrendFilter::kSlope];
  bank_.release_level(to - slope * warmth_, 1.0 + 0.04 * size * size, 0.02);
}

void GravityTrack::displace(double time_h, double size) {
  displacement_ = Displacement{displacement_ ? displacement_->since_h : time_h, size, {}};
  shift_ = Shift{displacement_->since_h, size, false};
  bank_.add_variance(TrendFilter::kWander, size * size);
}

// Gravity does not rise: a level that rises is displaced.
void GravityTrack::notice_rise(double time_h) {
  if (time_h - first_h_ < kYoungHours) return;
  const Estimate now = estimate();
  if (now.rate < kRising || now.rate < 2.5 * now.rate_sd) return;
  const auto& hours = history_.hours();
  double lowest = now.level;
  double since_h = time_h;
  double driven = driven_;
  for (std::size_t i = hours.size(); i-- > 0 && time_h - hours[i].time_h < kRiseWithinH;) {
    const double level = hours[i].points - now.warmth_slope * hours[i].warmth;
    if (level < lowest) {
      lowest = level;
      since_h = hours[i].time_h;
      driven = hours[i].driven;
    }
  }
  const double size = now.level - (lowest + driven_ - driven);
  if (size < kLeastRise + 2 * std::sqrt(white_var_ / 4 + wander_var())) return;
  last_jump_ = Jump{since_h, size};
  history_.suspect(since_h, time_h);
  bank_.shift(TrendFilter::kLevel, -size);
  bank_.shift(TrendFilter::kWander, size);
  bank_.shift_rate(drive_ - now.rate);
  displace(time_h, size);
}

// The displacement ends when the slow noise has decayed. If it does not, a jump of several points was one of
// the offset.
void GravityTrack::end_displacement(double time_h) {
  Displacement& now = *displacement_;
  const double off = bank_.mixture().mean()[TrendFilter::kWander];
  if (std::abs(off) > std::max(0.6, 0.2 * std::abs(now.size))) {
    now.calm_since_h.reset();
    if (time_h - now.since_h > kLastingH) {
      // By the readings: the level before, as the model moved it, and the last hours.
      double before = 0, after = 0;
      int hours_before = 0, hours_after = 0;
      const auto& hours = history_.hours();
      const double slope = bank_.mixture().mean()[TrendFilter::kSlope];
      for (const HourMean& hour : hours) {
        const double level = hour.points - slope * hour.warmth + driven_ - hour.driven;
        if (hour.time_h > time_h - kLastHours) {
          after += level;
          ++hours_after;
        } else if (!hour.suspect && hour.time_h < now.since_h && hour.time_h > now.since_h - kLastHours) {
          before += level;
          ++hours_before;
        }
      }
      if (hours_before > 0 && hours_after > 0) {
        after /= hours_after;
        const double by = after - before / hours_before;
        if (std::abs(by) > std::max(kLeastLasting, kLastingShare * std::abs(now.size)) &&
            (by > 0) == (now.size > 0)) {
          move(now.since_h, by, after);
          return;
        }
      }
    }
    if (time_h - now.since_h > kLongestPinH) {
      bank_.shift(TrendFilter::kLevel, off);
      bank_.shift(TrendFilter::kWander, -off);
      displacement_.reset();
      shift_.reset();
    }
    return;
  }
  if (!now.calm_since_h) now.calm_since_h = time_h;
  if (time_h - *now.calm_since_h > kCalmH) {
    displacement_.reset();
    shift_.reset();
  }
}

// A hydrometer that trembles far less than it ever did while free, or not at all, is held by something. The
// level follows the model meanwhile.
void GravityTrack::notice_pin(double time_h, double points) {
  if (coarse_ || seen_ < 60) return;
  if (pinned_since_h_) {
    off_pin_ = std::abs(points - pinned_at_) > 1 + 6 * std::sqrt(tremble_var_) ? off_pin_ + 1 : 0;
    if (tremble_var_ > 2 * kPinnedShare * quiet_var_ || off_pin_ >= kOffPin ||
        time_h - *pinned_since_h_ > kLongestPinH) {
      last_jump_ = Jump{time_h, points - pinned_at_};
      pinned_since_h_.reset();
      still_h_ = 0;
      off_pin_ = 0;
      bank_.add_variance(TrendFilter::kLevel, 1);
    }
    return;
  }
  if (tremble_var_ > kPinnedShare * quiet_var_) {
    still_h_ = 0;
    return;
  }
  if (still_h_ == 0) still_h_ = time_h;
  if (time_h - still_h_ < kTrembleH) return;
  // It began with the first of the still hours.
  double since_h = still_h_;
  const auto& hours = history_.hours();
  double level = estimate().level;
  for (std::size_t i = hours.size(); i-- > 0;) {
    level = hours[i].points - bank_.mixture().mean()[TrendFilter::kSlope] * hours[i].warmth + driven_ -
            hours[i].driven;
    if (hours[i].time_h < still_h_ - kTrembleH && hours[i].scatter_var > 3 * kPinnedShare * quiet_var_) break;
    since_h = hours[i].time_h;
  }
  history_.suspect(since_h, time_h);
  bank_.shift(TrendFilter::kLevel, level - estimate().level);
  bank_.shift_rate(drive_ - estimate().rate);
  pinned_since_h_ = since_h;
  pinned_at_ = points;
}

void GravityTrack::drive(double rate, double floor, bool refitted) {
  floor_ = floor;
  if (refitted) bank_.shift_rate(kKeptOfRefit * (drive_ - rate));
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

}  // namespace gyle
