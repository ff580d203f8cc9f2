#include <algorithm>

#include "fermentation/judgement.h"

namespace gyle {

bool Tracker::Judgement::hold_is_over(const Hold& hold, Time time, const std::optional<Beer>& beer) const {
  if (const auto* until = std::get_if<UntilDays>(&hold.until)) {
    const Time from = hold_due_.empty() ? spec_.pitched : hold_due_.back();
    return time - from >= from_hours(24 * until->days);
  }
  if (std::get_if<UntilFinalGravity>(&hold.until) != nullptr) return final_since_.has_value();
  if (!beer || !started_ || !course_.ready()) return false;
  const double now_h = hours_since_pitch(time);
  const double level =
      beer->points + beer->shown.rate * std::min(now_h - tracks_.at(*primary_).last_h(), 1.0);
  if (const auto attenuation = wanted_attenuation(hold.until, spec_.yeast)) {
    return level <= beer->original * (1 - *attenuation);
  }
  return level <= (std::get<UntilGravity>(hold.until).gravity.value() - 1) * 1000;
}

void Tracker::Judgement::judge_plan(Time time, const std::optional<Beer>& beer, Outcome& out) {
  while (holds_over_ < spec_.plan.size() && hold_is_over(spec_.plan[holds_over_], time, beer)) {
    ++holds_over_;
    hold_due_.push_back(time);
    if (holds_over_ == spec_.plan.size()) return;
    Evidence evidence;
    if (beer) {
      evidence.emplace_back("gravity_sg", gravity_of(beer->points));
      evidence.emplace_back("attenuation", beer->attenuation);
    }
    evidence.emplace_back("due_time", in_seconds(time.time_since_epoch()));
    ledger_.raise(time, AlertKind::step_due, evidence, out.decisions, {}, static_cast<int>(holds_over_));
  }
}

}  // namespace gyle
