#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

// An ale without a fall by then is late; cold lengthens the wait.
constexpr double kSlowStartH = 42;
constexpr double kSlowStartThermalH = 32;
constexpr double kWatchedH = 12;     // readings of the hydrometer for so long
constexpr double kHintOfFall = 1.0;  // standard deviations: it may be starting
constexpr double kJoinedLate =
    4;  // points below the original gravity: the fall began before the first reading
constexpr double kLeastFall = 0.9;   // points
constexpr double kFallSigmas = 3.3;  // standard deviations
constexpr double kRecentH = 3;
constexpr double kRareH = 1.5;           // readings farther apart are compared one by one
constexpr double kFallWithinH = 10;      // older hours are the beginning
constexpr int kVotesToStart = 2;         // hours in a row
constexpr double kFarBelowOriginal = 8;  // points: more than any offset

struct Fall {
  double points;
  double sd;
};

// How far the last hours lie below the first, by the readings alone.
std::optional<Fall> start_fall(const GravityTrack& track, double now_h, double warmth_slope,
                               double warmth_slope_sd) {
  struct Mean {
    double points = 0, warmth = 0, readings = 0;
    int hours = 0;
  };
  Mean first, last;
  const double rare_h = track.interval_h() > kRareH ? track.interval_h() : 0.0;
  const double recent_h = std::max(kRecentH, 1.2 * rare_h);
  const double before_h =
      std::max(track.first_h() + std::max(4.0, rare_h / 2), now_h - std::max(kFallWithinH, 2.4 * rare_h));
  const int fewest = rare_h > 0 ? 1 : 2;
  const SensorNoise noise = track.noise();
  for (const HourMean& hour : track.history().hours()) {
    Mean* mean = hour.time_h < before_h ? &first : hour.time_h > now_h - recent_h ? &last : nullptr;
    if (mean == nullptr || hour.suspect) continue;
    ++mean->hours;
    mean->points += (hour.points - warmth_slope * hour.warmth - mean->points) / mean->hours;
    mean->warmth += (hour.warmth - mean->warmth) / mean->hours;
    mean->readings += hour.readings;
  }
  if (first.hours < fewest || last.hours < fewest || now_h - recent_h < before_h - 1) return std::nullopt;
  const auto variance = [&](const Mean& mean) {
    return noise.white_var / std::max(1.0, mean.readings) +
           noise.wander_var * std::min(1.0, 2 * noise.wander_h / mean.hours);
  };
  const double bias = warmth_slope_sd * (last.warmth - first.warmth);
  return Fall{first.points - last.points, std::sqrt(variance(first) + variance(last) + bias * bias)};
}

}  // namespace

void Tracker::Judgement::judge_start(Time time, const Beer& beer, Outcome& out) {
  if (started_) return;
  const double now_h = hours_since_pitch(time);
  if (primary_) {
    const auto& shown = beer.shown;
    const GravityTrack& track = tracks_.at(*primary_);
    const bool heard = fresh(now_h);
    const auto fall = start_fall(track, now_h, shown.warmth_slope, shown.warmth_slope_sd);
    const bool falling =
        fall && fall->points > std::max(kLeastFall, kFallSigmas * fall->sd) && shown.rate < 0;
    const bool fallen = spec_.original_gravity && track.last_h() - track.first_h() > 1 &&
                        shown.level < (spec_.original_gravity->value() - 1) * 1000 - kFarBelowOriginal;
    start_votes_ = heard && (falling || fallen) ? start_votes_ + 1 : 0;
    if (start_votes_ >= kVotesToStart) {
      started_ = time;
      refit();
      ledger_.withdraw(time, AlertKind::slow_start, {{"gravity_sg", gravity_of(beer.points)}}, out.decisions);
      const double fall_points = fallen || !fall ? beer.original - beer.points : fall->points;
      // Detected late: at the present rate so much has taken at least so long.
      const double ago_h = shown.rate < 0 ? std::clamp(-fall_points / shown.rate, 0.0, now_h) : 0.0;
      ledger_.raise(time, AlertKind::fermentation_started,
                    {{"original_gravity_sg", gravity_of(beer.original)},
                     {"gravity_sg", gravity_of(beer.points)},
                     {"fall_points", fall_points},
                     {"start_time", in_seconds((time - from_hours(ago_h)).time_since_epoch())}},
                    out.decisions);
      return;
    }
    const bool late =
        now_h >= kSlowStartH && thermal_.now() >= kSlowStartThermalH && now_h - track.first_h() >= kWatchedH;
    const bool hint = (fall && fall->points > kHintOfFall * fall->sd) || start_votes_ > 0 ||
                      shown.rate < -kHintOfFall * shown.rate_sd;
    const bool joined_late =
        spec_.original_gravity && shown.level < (spec_.original_gravity->value() - 1) * 1000 - kJoinedLate -
                                                    kHintOfFall * shown.level_sd;
    if (late && heard && !hint && !joined_late) {
      Evidence evidence{{"hours_since_pitch", now_h}, {"gravity_sg", gravity_of(beer.points)}};
      if (beer_temperature_.value())
        evidence.emplace_back("temperature_celsius", beer_temperature_.value()->value);
      ledger_.raise(time, AlertKind::slow_start, evidence, out.decisions);
    }
  }
}

}  // namespace gyle
