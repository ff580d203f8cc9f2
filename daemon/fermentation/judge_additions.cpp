#include <algorithm>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kLeastChange = 0.5;  // points of sugar: less is no new fall
constexpr double kSugarWaitH = 24;    // so long sugar may lie in a beer that had come to rest

}  // namespace

// From here on the batch is one that had the addition from the beginning: its description, and everything
// that was measured before, change alike.
void Tracker::Judgement::accept_addition(const Addition& addition, Outcome& out) {
  const auto now = beer();
  const double time_h = hours_since_pitch(addition.time);
  const double original = now ? now->original : 0.0;
  const AdditionEffect effect =
      spec_.volume_l ? effect_of(addition, *spec_.volume_l) : AdditionEffect{1, 0, 0, 0};
  for (auto& [sensor, track] : tracks_) {
    // The offset stays as it is.
    const double offset = primary_ == sensor && now ? now->offset : 0.0;
    track.add(time_h, effect.keep, effect.points + (1 - effect.keep) * offset);
  }
  if (addition.kind == AdditionKind::dry_hops) return;
  spec_ = described_after(std::move(spec_), addition, original);
  const double offset = now ? now->offset : 0.0;
  const auto shown = [&](double points) {
    return effect.keep * points + effect.points + (1 - effect.keep) * offset;
  };
  applied_.emplace_back(time_h, effect);
  for (Sample& sample : samples_) sample.points = effect.keep * sample.points + effect.points;
  if (start_shown_) start_shown_->first = shown(start_shown_->first);
  final_level_ = shown(final_level_);
  stuck_level_ = shown(stuck_level_);
  for (AddedFall& added : added_) added.fall *= effect.keep;
  changed_h_ = time_h;
  end_window_.reset();
  tail_.reset();
  over_votes_ = 0;
  if (effect.points > kLeastChange) {
    added_.push_back({thermal_.at(time_h), effect.sugar_fall});
    moved_again_ = addition.time + from_hours(kSugarWaitH);
    if (now) {
      const double gravity = 1 + (effect.keep * now->points + effect.points) / 1000;
      ledger_.withdraw(addition.time, AlertKind::final_gravity_stable,
                       {{"gravity_sg", gravity}, {"change_points", effect.points}}, out.decisions);
      ledger_.withdraw(addition.time, AlertKind::stuck, {{"gravity_sg", gravity}}, out.decisions);
    }
    final_since_.reset();
  }
  refit();
}

// What hydrometers show has moved by so much.
void Tracker::Judgement::follow_move(double by) {
  if (by == 0) return;
  if (start_shown_) start_shown_->first += by;
  final_level_ += by;
  stuck_level_ += by;
  refit();
}

}  // namespace gyle
