#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kSeveral = 2.5;    // points: a jump worth asking about
constexpr double kStillThereH = 6;  // foam often goes sooner
constexpr double kSameTimeH = 6;    // jumps of two hydrometers within this are one

}  // namespace

// Gravity does not jump: something was added, or the hydrometer was moved. Asked once of each jump.
void Tracker::Judgement::judge_jump(Time time, Outcome& out) {
  if (!primary_ || primary_ == hand_) return;
  const double now_h = hours_since_pitch(time);
  const GravityTrack& track = tracks_.at(*primary_);
  const auto shift = track.shift();
  const std::string& sensor = watch_.at(*primary_).id;
  const auto sampled_since = [&](double hour) { return sampled_h_ && *sampled_h_ > hour; };
  const double gravity = 1 + beer()->points / 1000;
  if (ledger_.is_open(AlertKind::gravity_jumped, sensor)) {
    // It has gone back, or a hand sample shows the offset.
    if (shift && !sampled_since(*asked_about_h_)) return;
    ledger_.withdraw(time, AlertKind::gravity_jumped, {{"gravity_sg", gravity}}, out.decisions, sensor);
    return;
  }
  if (!shift || shift->explained || final_since_ || !fresh(now_h) || std::abs(shift->size) < kSeveral ||
      now_h - shift->since_h < kStillThereH || sampled_since(shift->since_h) ||
      (asked_about_h_ && shift->since_h <= *asked_about_h_)) {
    return;
  }
  asked_about_h_ = shift->since_h;
  Evidence evidence{
      {"change_points", shift->size},
      {"gravity_sg", gravity},
      {"jump_time", in_seconds((spec_.pitched + from_hours(shift->since_h)).time_since_epoch())}};
  for (const auto& [other, their] : tracks_) {
    if (other == *primary_ || other == hand_ || now_h - their.last_h() > kStillThereH) continue;
    const auto jumped = their.shift();
    if (!jumped || std::abs(jumped->since_h - shift->since_h) > kSameTimeH) {
      evidence.emplace_back("others_steady", 1.0);
      break;
    }
  }
  ledger_.raise(time, AlertKind::gravity_jumped, std::move(evidence), out.decisions, sensor);
}

}  // namespace gyle
