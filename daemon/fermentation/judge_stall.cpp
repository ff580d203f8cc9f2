#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kStuckAbove = 3.0;  // points above the band: it may not be an end
constexpr double kStillH[] = {18, 24, 30, 36, 48};
constexpr double kStillSigmas = 1.6;   // standard deviations
constexpr double kStoppedRate = 0.03;  // points per hour: less is standing still
constexpr double kFarAbove = 8;        // points above the band: at such a rate it would take more than a week
constexpr double kFarStoppedRate = 0.045;  // then
constexpr double kStoppedShare = 0.18;     // of the rate of a healthy beer ...
constexpr double kSlowest = 0.09;          // ... but no more than two points a day
constexpr double kMovesAgain = 1.5;        // points below where it had stopped
constexpr double kMostRise = 1.5;          // points in the window; more comes from the hydrometer
constexpr double kEarlyProgress = 0.1;
constexpr double kLateProgress = 0.97;
constexpr double kAbruptStillH = 24;  // a hydrometer that stops at full speed is more likely stuck itself
constexpr double kColdWithinH = 96;   // a fall of temperature within this time may be the reason
constexpr double kColdFall = 1.5;     // K

}  // namespace

void Tracker::Judgement::judge_stall(Time time, const Beer& beer, Outcome& out) {
  if (!started_) return;
  const GravityTrack& track = tracks_.at(*primary_);
  const double now_h = hours_since_pitch(time);
  const double band_edge = beer.original * (1 - spec_.yeast.attenuation_low);
  if (ledger_.is_open(AlertKind::stuck)) {
    if (beer.shown.level < stuck_level_ - std::max(kMovesAgain, 3 * beer.shown.level_sd)) {
      ledger_.withdraw(time, AlertKind::stuck, {{"gravity_sg", gravity_of(beer.points)}}, out.decisions);
      moved_again_ = time;
    }
    return;
  }
  if (final_since_ || !fresh(now_h) || track.displaced() || watch_.frozen_evidence(*primary_) > 5 ||
      beer.points < band_edge + kStuckAbove + beer.offset_sd) {
    return;
  }
  // The rate of a healthy beer at this point, from its fastest: a logistic fall goes as F (1 - F).
  const double progress =
      std::clamp(beer.attenuation / spec_.yeast.expected_attenuation(), 0.0, kLateProgress);
  if (progress < kEarlyProgress) return;
  const double healthy = fastest_rate_ * 4 * progress * (1 - progress);
  const bool far = beer.points > band_edge + kFarAbove;
  const double slow = std::clamp(kStoppedShare * healthy, far ? kFarStoppedRate : kStoppedRate, kSlowest);
  std::optional<StillWindow> still;
  double length_h = 0;
  const double moving_since_h = hours_since_pitch(moved_again_.value_or(*started_));
  for (const double candidate_h : kStillH) {
    if (now_h - candidate_h < moving_since_h) break;  // stillness before that is known
    const auto window = still_window(track.history(), track.noise(), now_h, candidate_h,
                                     beer.shown.warmth_slope, beer.shown.warmth_slope_sd);
    if (window && window->fall + kStillSigmas * window->fall_se < slow * candidate_h &&
        window->fall > -kMostRise && window->steady_fall < slow * candidate_h + window->fall_se &&
        window->recent < slow * candidate_h / 2 + kStillSigmas * window->recent_se) {
      still = window;
      length_h = candidate_h;
      break;
    }
  }
  if (!still) return;
  const auto before = still_window(track.history(), track.noise(), now_h - length_h, length_h,
                                   beer.shown.warmth_slope, beer.shown.warmth_slope_sd);
  if (length_h < kAbruptStillH && before && before->fall > 4) return;
  if (track.last_jump() && now_h - track.last_jump()->time_h < length_h) return;
  stuck_level_ = beer.shown.level;
  const double expected = beer.original * (1 - spec_.yeast.expected_attenuation());
  Evidence evidence{{"gravity_sg", gravity_of(beer.points)},
                    {"expected_final_sg", gravity_of(expected)},
                    {"still_hours", length_h}};
  if (beer_temperature_.value())
    evidence.emplace_back("temperature_celsius", beer_temperature_.value()->value);
  if (const auto change = beer_temperature_.last_change(); change && now_h - change->time_h < kColdWithinH) {
    const double fallen = (change->before - *beer_temperature_.value()).value;
    if (fallen > kColdFall) evidence.emplace_back("temperature_fall_celsius", fallen);
  }
  evidence.emplace_back("doubtful", beer.points - band_edge < kStuckAbove + 2 * beer.offset_sd ? 1.0 : 0.0);
  ledger_.raise(time, AlertKind::stuck, evidence, out.decisions);
}

}  // namespace gyle
