#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kOutsideBy = 0.5;   // K beyond the range before it counts
constexpr double kOutsideForH = 4;   // raised after so long outside
constexpr double kFarOutsideBy = 3;  // K: raised four times as fast
constexpr double kNearEnd = 0.9;     // of the expected attenuation
constexpr double kProbeStaleH = 3;
constexpr double kUnknownAfterH = 12;  // an alert about a temperature is withdrawn
constexpr double kFreshProbeIntervals = 2.5;
constexpr int kInsideLooks = 4;        // an hour inside ends the alert: an edge is crossed often
constexpr double kNotHeldAfterH = 30;  // a step must be under way by then
constexpr double kUnderWay = 0.08;     // of the step in six hours: it is being carried out
constexpr double kSmallStep = 1.0;     // K: too small to tell whether it is done

}  // namespace

// True: too old to conclude anything from it.
bool Tracker::Judgement::temperature_unknown(Time time, AlertKind kind, std::optional<int> step,
                                             Outcome& out) {
  if (!beer_temperature_.value()) return true;
  const double now_h = hours_since_pitch(time);
  const double age_h = now_h - *beer_temperature_.last_h();
  if (age_h > kUnknownAfterH) {
    ledger_.withdraw(time, kind,
                     {{"unknown_hours", age_h}, {"temperature_celsius", beer_temperature_.value()->value}},
                     out.decisions, {}, step);
    if (kind == AlertKind::temperature_out_of_range) outside_h_ = 0;
  }
  return age_h > kProbeStaleH || watch_.silent(*beer_temperature_.probe(), now_h);
}

void Tracker::Judgement::judge_temperature(Time time, Outcome& out) {
  if (temperature_unknown(time, AlertKind::temperature_out_of_range, {}, out)) return;
  const double celsius = beer_temperature_.value()->value;
  const double now_h = hours_since_pitch(time);
  double low = spec_.yeast.temperature_low.value;
  double high = spec_.yeast.temperature_high.value;
  // The temperatures of the plan are in range, before and after a change; that of the next hold as soon as
  // the end is near, because the brewer may be early.
  const auto now = beer();
  const bool near_end = now && started_ && now->attenuation > kNearEnd * spec_.yeast.expected_attenuation();
  for (std::size_t i = holds_over_ > 0 ? holds_over_ - 1 : 0; i < spec_.plan.size(); ++i) {
    if (i > holds_over_ + (near_end ? 1 : 0)) break;
    low = std::min(low, spec_.plan[i].temperature.value - 1);
    high = std::max(high, spec_.plan[i].temperature.value + 1);
  }
  if (final_since_) low = -50;  // a finished beer may be cooled
  const double outside = std::max(low - celsius, celsius - high);
  const double fresh_h =
      std::max(1.0, kFreshProbeIntervals * watch_.at(*beer_temperature_.probe()).interval_h);
  inside_looks_ = outside < 0 ? inside_looks_ + 1 : 0;
  if (outside > kOutsideBy && now_h - *beer_temperature_.last_h() < fresh_h) {
    if (outside_h_ == 0) outside_since_h_ = now_h;
    outside_h_ += outside > kFarOutsideBy ? 1.0 : 0.25;
  } else if (outside < 0 &&
             (inside_looks_ >= kInsideLooks || !ledger_.is_open(AlertKind::temperature_out_of_range))) {
    outside_h_ = 0;
  }
  Evidence evidence{{"temperature_celsius", celsius},
                    {"low_celsius", spec_.yeast.temperature_low.value},
                    {"high_celsius", spec_.yeast.temperature_high.value}};
  if (outside_h_ >= kOutsideForH) {
    evidence.emplace_back("hours_outside", now_h - outside_since_h_);
    ledger_.raise(time, AlertKind::temperature_out_of_range, evidence, out.decisions);
  } else if (outside_h_ == 0) {
    ledger_.withdraw(time, AlertKind::temperature_out_of_range, evidence, out.decisions);
  }
}

void Tracker::Judgement::judge_step_held(Time time, Outcome& out) {
  if (holds_over_ == 0 || holds_over_ >= spec_.plan.size()) return;
  const int step = static_cast<int>(holds_over_);
  if (temperature_unknown(time, AlertKind::step_not_held, step, out)) return;
  const double celsius = beer_temperature_.value()->value;
  const double from = spec_.plan[holds_over_ - 1].temperature.value;
  const double wanted = spec_.plan[holds_over_].temperature.value;
  if (std::abs(wanted - from) < kSmallStep) return;
  const double since_h = in_hours(time - hold_due_.back());
  const double way = (celsius - from) / (wanted - from);
  const double moved = beer_temperature_.change_over(6).value_or(CelsiusDelta{}).value / (wanted - from);
  if (since_h >= kNotHeldAfterH && way < 0.4 && moved < kUnderWay) {
    ledger_.raise(
        time, AlertKind::step_not_held,
        {{"temperature_celsius", celsius}, {"wanted_celsius", wanted}, {"hours_since_due", since_h}},
        out.decisions, {}, step);
  } else if (way > 0.7) {
    ledger_.withdraw(
        time, AlertKind::step_not_held,
        {{"temperature_celsius", celsius}, {"wanted_celsius", wanted}, {"hours_since_due", since_h}},
        out.decisions, {}, step);
  }
}

}  // namespace gyle
