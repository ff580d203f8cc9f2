#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"
#include "fermentation/warmth_ahead.h"

namespace gyle {
namespace {

constexpr double kReached = 0.5;  // points from the final gravity: it is reached
constexpr double kNeverH = 1e5;   // thermal hours
constexpr double kFarthestH = 24 * 90;
constexpr double kTailFromDone = 0.97;  // of the fall: from here on its tail is fitted
constexpr double kMostTailTrust = 0.8;
// Calibrated on simulated batches that were not used for tuning: late in the fall nine of ten 80 % intervals
// held the truth.
constexpr double kLateNarrower = 0.13;
constexpr double kTimesWider = 0.35;  // late in the fall: the tail to come is unknown
constexpr double kOffsetFrom = 0.3;
constexpr double kNarrowFrom = 0.3;
constexpr double kNarrowFully = 0.7;
constexpr double kAsWanted = 1;      // K: the beer is at the temperature of its hold
constexpr double kWillNotCome = 30;  // h after a step was due without a change: it will not be carried out
constexpr double kLeastWait = 1;     // h
constexpr double kVesselH = 3;       // half the time a vessel takes from one hold to the next
constexpr double kTailSpan = 6;      // points still to go: too early for a tail

// How long brewers take to carry out a step: most within hours, some for days. An even sample of that
// distribution, number `which`.
double brewers_delay_h(std::size_t which) {
  constexpr double kGolden = 0.6180339887498949;
  constexpr double kPrompt = 0.88;
  double whole;
  const double u = std::modf((static_cast<double>(which) + 0.5) * kGolden, &whole);
  return u < kPrompt ? 0.5 + 13.5 * u / kPrompt : 24 + 66 * (u - kPrompt) / (1 - kPrompt);
}

}  // namespace

Interval Tracker::Judgement::interval_of(std::vector<WeightedValue>& values) {
  const double low = weighted_quantile(values, 0.1);
  const double middle = weighted_quantile(values, 0.5);
  return {middle, low, weighted_quantile(values, 0.9)};
}

TimeInterval Tracker::Judgement::time_interval(const Interval& since_pitch) const {
  const auto at = [&](double hour) {
    return spec_.pitched + from_hours(std::clamp(hour, -kNeverH, kNeverH));
  };
  return {at(since_pitch.value), at(since_pitch.low), at(since_pitch.high)};
}

void Tracker::Judgement::forecast_row(Time time, Outcome& out) {
  next_forecast_ = time + hours(6);
  if (primary_ && tracks_.at(*primary_).last_h() > fitted_to_h_) {
    refit();
    fit_tail();
  }
  out.forecasts.push_back(make_forecast(time));
  const auto& ends = out.forecasts.back().final_time;
  done_h_ = ends ? std::optional(hours_since_pitch(ends->value) + in_hours(spec_.final_gravity.window))
                 : std::nullopt;
}

void Tracker::Judgement::fit_tail() {
  const auto now = beer();
  if (!started_ || !now || chance_left_above(kTailSpan) > 0.5) {
    tail_.reset();
    return;
  }
  const GravityTrack& track = tracks_.at(*primary_);
  tail_fitted_h_ = track.last_h();
  tail_ = TailFit::of(track.history().hours(), thermal_.now(), thermal_speed(), creep_prior(*now),
                      track.noise(), now->shown.warmth_slope, now->shown.warmth_slope_sd);
}

// When the fall is nearly done its own tail shows best where it ends.
void Tracker::Judgement::mix_in_tail(std::vector<WeightedValue>& finals) const {
  const auto now = beer();
  if (!tail_ || !now) return;
  double done = 0, sum = 0;
  for (const CourseDraw& draw : course_.draws()) {
    sum += draw.weight;
    done += draw.weight * draw.done(thermal_.now());
  }
  const double trust =
      kMostTailTrust * std::clamp((done / sum - kTailFromDone) / (1 - kTailFromDone) * 2, 0.0, 1.0);
  for (WeightedValue& value : finals) value.weight *= (1 - trust) / sum;
  for (const TailFit::Ending& ending : tail_->endings()) {
    // Three points with the mean and the variance of a normal.
    for (const auto& [off, share] :
         {std::pair{-1.2247, 1.0 / 3}, std::pair{0.0, 1.0 / 3}, std::pair{1.2247, 1.0 / 3}}) {
      finals.push_back({ending.level + off * ending.level_sd, trust * ending.weight * share});
    }
  }
}

Forecast Tracker::Judgement::make_forecast(Time time, const std::optional<HypotheticalHold>& supposed,
                                           std::vector<WeightedValue>* end_hours) const {
  Forecast row{};
  row.time = time;
  const double now_h = hours_since_pitch(time);
  const Hold* next = holds_over_ < spec_.plan.size() ? &spec_.plan[holds_over_] : nullptr;
  if (next != nullptr) row.step = static_cast<int>(holds_over_) + 1;
  if (next != nullptr && std::holds_alternative<UntilDays>(next->until)) {
    const Time from = hold_due_.empty() ? spec_.pitched : hold_due_.back();
    const Time due = from + from_hours(24 * std::get<UntilDays>(next->until).days);
    row.step_time = TimeInterval{due, due, due};
  }
  if (!course_.ready() || ledger_.is_open(AlertKind::stuck)) return row;
  // No course of the bank goes where a wild yeast may go.
  row.end_unknown = !final_since_ && ledger_.is_open(AlertKind::over_attenuated);

  const Celsius celsius_now = beer_temperature_.value().value_or(ThermalTime::kReference);
  const double speed_now = ThermalTime::speed(celsius_now);
  const bool warms = next != nullptr && holds_over_ + 1 < spec_.plan.size();
  const double speed_next = warms ? ThermalTime::speed(spec_.plan[holds_over_ + 1].temperature) : speed_now;
  WarmthAhead ahead{now_h, thermal_.now(), speed_now, speed_next, 0, {}, {}};
  if (supposed) {
    ahead.supposed = {std::max(hours_since_pitch(supposed->from), now_h),
                      ThermalTime::speed(supposed->temperature)};
  }
  // A step that is due and not carried out yet probably will be soon.
  std::optional<double> waiting_h;
  double target_speed = speed_now;
  if (holds_over_ > 0 && holds_over_ < spec_.plan.size()) {
    const Celsius target = spec_.plan[holds_over_].temperature;
    const double since_h = in_hours(time - hold_due_.back());
    if (std::abs((target - celsius_now).value) > kAsWanted && since_h < kWillNotCome) {
      waiting_h = since_h;
      target_speed = ThermalTime::speed(target);
    }
  }
  const double offset = this->offset();
  std::vector<WeightedValue> finals, ends, steps;
  double never_step = 0, sum = 0, done = 0;
  std::size_t which = 0;
  for (const CourseDraw& draw : course_.draws()) {
    const double delay_h = brewers_delay_h(which++);
    ahead.step_delay_h = warms ? delay_h + kVesselH : 0;
    if (waiting_h) {
      ahead.under_way = {now_h + std::max(delay_h - *waiting_h, kLeastWait) + kVesselH, target_speed};
    }
    sum += draw.weight;
    done += draw.weight * draw.done(thermal_.now());
    finals.push_back({draw.final(), draw.weight});
    // When the step is due in this course; then the beer gets the temperature of the next hold.
    double step_at = kNeverH;
    if (next != nullptr) {
      double wanted = -1;
      if (const auto attenuation = wanted_attenuation(next->until, spec_.yeast)) {
        wanted = *attenuation * (draw.start - offset) / draw.fall;
      } else if (const auto* gravity = std::get_if<UntilGravity>(&next->until)) {
        wanted = (draw.start - offset - (gravity->gravity.value() - 1) * 1000) / draw.fall;
      }
      if (wanted > 0 && wanted < 0.999) step_at = draw.when(wanted);
    }
    const auto hour_of = [&](double thermal_h) {
      return thermal_h <= thermal_.now() ? thermal_.when(thermal_h) : ahead.hour_of(thermal_h, step_at);
    };
    const double end_u = draw.when(std::max(0.02, 1 - kReached / draw.fall));
    const double end_h = std::min(hour_of(end_u), now_h + kFarthestH);
    ends.push_back({end_h, draw.weight});
    if (next != nullptr && std::holds_alternative<UntilFinalGravity>(next->until)) {
      steps.push_back({std::max(end_h + in_hours(spec_.final_gravity.window), now_h), draw.weight});
    } else if (step_at < kNeverH) {
      steps.push_back({std::max(hour_of(step_at), now_h), draw.weight});
    } else {
      never_step += draw.weight;
    }
  }
  if (end_hours != nullptr) *end_hours = ends;
  mix_in_tail(finals);
  Interval final_points = interval_of(finals);
  const double narrower =
      1 - kLateNarrower * std::clamp((done / sum - kNarrowFrom) / (kNarrowFully - kNarrowFrom), 0.0, 1.0);
  // From what the hydrometer will show to the truth. As long as the fall comes from the band rather than from
  // the hydrometer, a wrong original gravity moves start and fall together.
  const double share = std::clamp((done / sum - kOffsetFrom) / (1 - kOffsetFrom), 0.0, 1.0);
  if (const auto now = beer()) {
    final_points.low = final_points.value - std::hypot(narrower * (final_points.value - final_points.low),
                                                       share * (now->offset_range.high - now->offset));
    final_points.high = final_points.value + std::hypot(narrower * (final_points.high - final_points.value),
                                                        share * (now->offset - now->offset_range.low));
    final_points.low -= now->offset;
    final_points.high -= now->offset;
    final_points.value -= now->offset;
  }
  if (row.end_unknown) return row;
  row.final_gravity =
      Interval{gravity_of(final_points.value), gravity_of(final_points.low), gravity_of(final_points.high)};
  Interval end = interval_of(ends);
  const double wider = 1 + kTimesWider * std::clamp(done / sum, 0.0, 1.0);
  end.low = end.value - wider * (end.value - end.low);
  end.high = end.value + wider * (end.high - end.value);
  if (end.high < now_h + kFarthestH) row.final_time = time_interval(end);
  if (!steps.empty() && never_step < 0.2 * sum) {
    row.step_time = time_interval(interval_of(steps));
  }
  return row;
}

}  // namespace gyle
