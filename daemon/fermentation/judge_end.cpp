#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"
#include "series/equivalence.h"

namespace gyle {
namespace {

constexpr double kEndConfidence = 0.90;   // that the change over the window is within the tolerance
constexpr double kMostChanceLeft = 0.25;  // that more than the tolerance is still to go
// A premature end is worse than ten late days. Of some hundred creeping beers of the split wide .02 ends six with
// more than two points to go, .015 four, .012 two; the median delay of healthy ones is 3, 6 and 10 h, the 95 %
// quantile 70, 71 and 89 h. One beer in twenty-five creeps there, so that .02 costs least.
//   chosen with  judgement_bench --split wide --first 2001 --batches 130, and --kind creeping --first 3001
constexpr double kMostTailChance = .1;        // that more than the tolerance is to come, by the tail
constexpr double kMostTailChanceTwice = .02;  // that more than twice the tolerance is
constexpr double kFinishedHigh = 2.3;         // points above the band that may still be an end
// A quiet hydrometer shows a creep days before the tail can tell it from an end: while it is seen to move by a
// fifth of the tolerance the beer has not stopped. None of the 51 healthy beers that it was chosen on waits longer for that.
constexpr double kSeenMoving = 1.0;   // standard deviations ...
constexpr double kMoving = 0.2;       // ... above this share of the tolerance: it still moves
constexpr double kCreepTwice = 0.25;  // of the tolerance, over twice the window
constexpr double kCreepNoise = 0.2;
constexpr double kFewestReadings = 5;  // in the window: it is longer where they are rare
constexpr double kOverMargin = 0.8;    // points below the band
constexpr double kOverSigmas = 1.5;    // standard deviations
constexpr int kVotesOver = 12;
constexpr double kRecentFall = 0.4;  // points below the window's line: it moves again
constexpr double kNearly = 4;
constexpr double kLookAtTailH = 3;
constexpr double kCreepSeldom = 0.03;
constexpr double kCreepOften = 0.14;
constexpr double kCreepUsual = 0.45;

}  // namespace

// A beer that creeps has seldom stopped early: a creep begins at the upper end of the band.
double Tracker::Judgement::creep_prior(const Beer& beer) const {
  const double band = std::max(0.02, spec_.yeast.attenuation_high - spec_.yeast.attenuation_low);
  const double place = (beer.attenuation - spec_.yeast.attenuation_low) / band;
  const double often = std::clamp((place - 0.3) / 0.5, 0.0, 1.0);
  const double usual = std::clamp((place - 1.0) / 0.5, 0.0, 1.0);
  return kCreepSeldom + (kCreepOften - kCreepSeldom) * often + (kCreepUsual - kCreepOften) * usual;
}

void Tracker::Judgement::judge_end(Time time, const Beer& beer, Outcome& out) {
  const GravityTrack& track = tracks_.at(*primary_);
  const double now_h = hours_since_pitch(time);
  fastest_rate_ = started_ ? std::max(fastest_rate_, -beer.shown.rate - beer.shown.rate_sd) : 0;
  const auto& rule = spec_.final_gravity;
  const double tolerance = rule.tolerance.value;

  if (final_since_) {
    const double fallen = final_level_ - beer.shown.level;
    const double sd = std::hypot(beer.shown.level_sd, final_level_sd_);
    if (fallen > std::max(1.5 * tolerance, 3 * sd) && !track.displaced()) {
      ledger_.withdraw(time, AlertKind::final_gravity_stable,
                       {{"gravity_sg", gravity_of(beer.points)}, {"change_points", -fallen}}, out.decisions);
      final_since_.reset();
    }
    return;
  }
  const double window_h = std::max(in_hours(rule.window), kFewestReadings * track.interval_h());
  end_window_ = still_window(track.history(), track.noise(), now_h, window_h, beer.shown.warmth_slope,
                             beer.shown.warmth_slope_sd);
  const double highest = beer.original * (1 - spec_.yeast.attenuation_low) + kFinishedHigh + beer.offset_sd;
  bool ended = started_ && course_.ready() && end_window_ && fresh(now_h) && !track.displaced() &&
               watch_.frozen_evidence(*primary_) < 6 &&
               !ledger_.is_open(AlertKind::sensor_frozen, watch_.at(*primary_).id) &&
               (!changed_h_ || now_h - *changed_h_ > window_h) &&
               (!track.last_jump() || now_h - track.last_jump()->time_h > window_h) &&
               beer.points < highest && end_window_->fall - end_window_->fall_se < tolerance &&
               end_window_->fall - kSeenMoving * end_window_->fall_se < kMoving * tolerance &&
               end_window_->recent < kRecentFall + 1.6 * end_window_->recent_se &&
               chance_left_above(tolerance) < kMostChanceLeft;
  if (ended) {
    // Far from an end it is enough to refit now and then.
    const bool near = tail_ && tail_->chance_left_above(tolerance) < kNearly * kMostTailChance;
    if (!tail_ || near || now_h - tail_fitted_h_ >= kLookAtTailH) fit_tail();
    ended = tail_ && tail_->chance_left_above(tolerance) < kMostTailChance &&
            tail_->chance_left_above(2 * tolerance) < kMostTailChanceTwice;
  }
  // A wild yeast may go on for weeks: a beer that was reported over-attenuated must not move at all over twice
  // the window.
  if (ended && ledger_.is_open(AlertKind::over_attenuated)) {
    const auto twice = still_window(track.history(), track.noise(), now_h, 2 * window_h,
                                    beer.shown.warmth_slope, beer.shown.warmth_slope_sd);
    const double noise = twice ? twice->fall_se : 0.0;
    ended = twice && twice->fall < std::max(kCreepTwice * tolerance - noise, kCreepNoise * noise);
  }
  // Equivalence: by the window alone, or by the whole tail when the hydrometer is too noisy for that.
  double doubt = 1;
  if (ended) {
    const double window_thermal_h = thermal_.now() - thermal_.at(now_h - window_h);
    doubt = std::min(
        equivalence_p(end_window_->fall, end_window_->fall_se, end_window_->degrees_freedom, tolerance),
        tail_->chance_fell_above(tolerance, window_thermal_h));
    ended = doubt < 1 - kEndConfidence;
  }
  if (!ended) return;
  final_since_ = time;
  final_level_ = beer.shown.level;
  final_level_sd_ = beer.shown.level_sd;
  ledger_.withdraw(time, AlertKind::stuck, {{"gravity_sg", gravity_of(beer.points)}}, out.decisions);
  ledger_.raise(time, AlertKind::final_gravity_stable,
                {{"final_gravity_sg", gravity_of(beer.points)},
                 {"final_gravity_low_sg", gravity_of(beer.range.low)},
                 {"final_gravity_high_sg", gravity_of(beer.range.high)},
                 {"change_points", -end_window_->fall},
                 {"window_hours", window_h},
                 {"confidence", 1 - doubt},
                 {"attenuation", beer.attenuation}},
                out.decisions);
  judge_plan(time, beer, out);
}

void Tracker::Judgement::judge_over_attenuation(Time time, const Beer& beer, Outcome& out) {
  if (!started_) return;
  const double edge = beer.original * (1 - spec_.yeast.attenuation_high);
  const double below = edge - beer.points;
  const bool over = below > kOverMargin + kOverSigmas * beer.points_sd;
  over_votes_ = over ? over_votes_ + 1 : 0;
  const Evidence evidence{{"attenuation", beer.attenuation},
                          {"expected_high", spec_.yeast.attenuation_high},
                          {"gravity_sg", gravity_of(beer.points)}};
  if (over_votes_ >= kVotesOver) ledger_.raise(time, AlertKind::over_attenuated, evidence, out.decisions);
  if (below < 0) ledger_.withdraw(time, AlertKind::over_attenuated, evidence, out.decisions);
}

}  // namespace gyle
