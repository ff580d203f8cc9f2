#include "fermentation/judgement.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace gyle {
namespace {

constexpr Duration kLookEvery = minutes(15);
constexpr double kOtherSensorAfterH = 6;  // without the primary hydrometer: another takes over
constexpr double kFarAbove = 8;           // points
constexpr double kBesideH = 2;            // readings so near a hand sample are compared with it
constexpr double kStartKnown = 0.5;       // of the fall
constexpr double kFirstHours = 18;        // from the first reading on
constexpr double kFallenDoubt = 0.25;     // of what had fallen by then
constexpr double kNoiseDaysH = 120;
constexpr std::size_t kNoiseHours = 12;
constexpr double kBusyRate = 0.5;  // points per hour: the fall that shakes a hydrometer most
constexpr double kFreshH = 3;
constexpr double kFreshIntervals = 1.6;
constexpr double kUnknownOffsetSd = 3;  // points
constexpr double kMovedSd = 0.7;        // of what a jump of the offset is believed to be

double points_of(double gravity) { return (gravity - 1.0) * 1000.0; }

bool gravity_plausible(double value) { return std::isfinite(value) && value >= 0.980 && value <= 1.200; }

}  // namespace

Tracker::Judgement::Judgement(BatchSpec spec)
    : given_(std::move(spec)), spec_(given_), clock_(spec_.pitched), looked_(spec_.pitched) {}

Outcome Tracker::Judgement::advance(const Event& event) {
  Outcome out;
  if (packaged_) return out;
  if (const auto* tick = std::get_if<Tick>(&event)) {
    clock_.tick(tick->time);
    advance_to(clock_.now(), out);
  } else if (const auto* packaged = std::get_if<Packaged>(&event)) {
    clock_.tick(packaged->time);
    advance_to(clock_.now(), out);
    packaged_ = true;
  } else if (const auto* reading = std::get_if<Reading>(&event)) {
    const std::size_t sensor = watch_.index_of(reading->sensor);
    const auto verdict = clock_.offer(reading->time, sensor);
    advance_to(clock_.now(), out);
    // A hand sample counts as much when it is entered later.
    const bool entered_late = verdict == EventClock::Verdict::late && reading->quantity == Quantity::sample;
    if (verdict == EventClock::Verdict::accepted || entered_late) {
      accept(*reading, sensor, out);
    } else {
      // The sensor works, whenever this was measured; but a clock that is far off makes its readings useless.
      const double now_h = hours_since_pitch(clock_.now());
      // A sensor that was never heard before may be the first with a correct later time.
      if (watch_.at(sensor).last_heard_h || verdict == EventClock::Verdict::late) {
        watch_.heard(sensor, now_h, reading->quantity);
      }
      if (reading->time_quality == TimeQuality::stamped && reading->quantity != Quantity::sample) {
        // Any time can be sent, so that the difference may overflow a Duration.
        const double by_h =
            in_hours(reading->time.time_since_epoch()) - in_hours(clock_.now().time_since_epoch());
        watch_.stamp_off(sensor, now_h, by_h, reading->value);
      }
      if (verdict == EventClock::Verdict::refused) watch_.refused(sensor, now_h, reading->value);
    }
    judge_sensors(clock_.now(), out);
  }
  return out;
}

void Tracker::Judgement::advance_to(Time time, Outcome& out) {
  while (true) {
    const Time look_at = looked_ + kLookEvery;
    const bool forecast_first = next_forecast_ && *next_forecast_ < look_at;
    const Time next = forecast_first ? *next_forecast_ : look_at;
    if (additions_seen_ < given_.additions.size() &&
        given_.additions[additions_seen_].time <= std::min(next, time)) {
      accept_addition(given_.additions[additions_seen_++], out);
      continue;
    }
    if (next > time) return;
    if (forecast_first) {
      forecast_row(next, out);
    } else {
      looked_ = look_at;
      every_quarter_hour(look_at, out);
    }
  }
}

void Tracker::Judgement::every_quarter_hour(Time time, Outcome& out) {
  const double now_h = hours_since_pitch(time);
  const Celsius fallback =
      current_hold() != nullptr
          ? current_hold()->temperature
          : Celsius{(spec_.yeast.temperature_low.value + spec_.yeast.temperature_high.value) / 2};
  thermal_.advance(now_h, beer_temperature_.value().value_or(fallback));
  drive(false);
  judge_sensors(time, out);
  judge_temperature(time, out);
  judge_plan(time, beer(), out);
  if ((time - spec_.pitched) % hours(1) == Duration{}) every_hour(time, out);
}

void Tracker::Judgement::every_hour(Time time, Outcome& out) {
  const auto now = beer();
  if (now) {
    judge_start(time, *now, out);
    judge_end(time, *now, out);
    judge_jump(time, out);
    judge_stall(time, *now, out);
    judge_over_attenuation(time, *now, out);
  } else {
    judge_start(time, Beer{}, out);
  }
  judge_step_held(time, out);
}

void Tracker::Judgement::accept(const Reading& reading, std::size_t sensor, Outcome& out) {
  const double time_h = hours_since_pitch(reading.time);
  watch_.heard(sensor, time_h, reading.quantity);
  watch_.stamp_good(sensor);
  const bool measured_now = reading.time_quality != TimeQuality::backlog;
  bool good = true;
  switch (reading.quantity) {
    case Quantity::gravity:
      good = gravity_plausible(reading.value);
      if (good && measured_now) accept_gravity(reading, sensor, out);
      break;
    case Quantity::sample:
      good = gravity_plausible(reading.value);
      if (good && measured_now) {
        accept_sample(reading, sensor);
        out.measured.push_back({reading.time, reading.quantity, reading.value});
      }
      break;
    case Quantity::beer_temperature:
      good = TemperatureTrack::plausible(Celsius{reading.value});
      if (good && measured_now && beer_temperature_.offer(time_h, Celsius{reading.value}, sensor)) {
        out.measured.push_back({reading.time, reading.quantity, reading.value});
      }
      break;
    case Quantity::ambient_temperature:
      good = TemperatureTrack::plausible(Celsius{reading.value});
      if (good && measured_now && ambient_temperature_.offer(time_h, Celsius{reading.value}, sensor)) {
        out.measured.push_back({reading.time, reading.quantity, reading.value});
      }
      break;
    case Quantity::battery:
      good = std::isfinite(reading.value) && reading.value > 0 && reading.value < 30;
      if (good && measured_now) watch_.battery(sensor, time_h, reading.value);
      break;
    case Quantity::inclination:
      good = std::isfinite(reading.value);
      break;
  }
  if (good) {
    watch_.good(sensor);
  } else {
    watch_.refused(sensor, time_h, reading.value);
  }
  if (!next_forecast_ && good && reading.time >= spec_.pitched) {
    next_forecast_ = reading.time;
    forecast_row(reading.time, out);
  }
}

void Tracker::Judgement::accept_gravity(const Reading& reading, std::size_t sensor, Outcome& out) {
  const double time_h = hours_since_pitch(reading.time);
  const double points = points_of(reading.value);
  if (last_curve_ && reading.time < *last_curve_) return;
  auto found = tracks_.find(sensor);
  if (found == tracks_.end()) {
    const Celsius reference =
        beer_temperature_.value().value_or(spec_.plan.empty() ? Celsius{20} : spec_.plan.front().temperature);
    // No wort reads far above its original gravity: such a first reading is an outlier.
    const double most =
        spec_.original_gravity ? points_of(spec_.original_gravity->value()) + kFarAbove : points;
    found = tracks_.emplace(sensor, GravityTrack(time_h, std::min(points, most), reference)).first;
  } else if (reading.time == *last_curve_ && found->second.last_h() == time_h) {
    return;  // delivered twice
  }
  watch_.gravity(sensor, time_h, points);
  GravityTrack& track = found->second;
  const bool was_pinned = track.pinned();
  const double moved_before = track.moved();
  track.offer(time_h, thermal_.now(), points, beer_temperature_.value());
  if (primary_ == sensor) {
    if (track.pinned() && !was_pinned) refit();  // without the readings of a pinned hydrometer
    follow_move(track.moved() - moved_before);
  }
  last_curve_ = reading.time;
  if (!primary_ || primary_ == hand_ ||
      (*primary_ != sensor && time_h - tracks_.at(*primary_).last_h() > kOtherSensorAfterH)) {
    const bool another = primary_.has_value();
    primary_ = sensor;
    start_shown_.reset();  // another hydrometer has another offset
    if (another) refit();
  }
  if (!course_.ready()) refit();
  const auto now = beer();
  CurvePoint point{};
  point.time = reading.time;
  point.gravity_raw = reading.value;
  point.gravity = {1 + now->range.value / 1000, 1 + now->range.low / 1000, 1 + now->range.high / 1000};
  point.temperature = beer_temperature_.value();
  if (now->original > 5) point.attenuation = now->attenuation;
  point.stage = stage();
  out.curve.push_back(point);
}

// With a hydrometer in the beer a sample shows its offset; without one it is the gravity itself.
void Tracker::Judgement::accept_sample(const Reading& reading, std::size_t sensor) {
  const double time_h = hours_since_pitch(reading.time);
  double points = points_of(reading.value);
  // One from before an addition counts as if that had been in the beer.
  for (const auto& [added_h, effect] : applied_) {
    if (time_h < added_h) points = effect.keep * points + effect.points;
  }
  samples_.push_back({time_h, thermal_.at(time_h), points});
  watch_.sampled(sensor, time_h);
  sampled_h_ = std::max(sampled_h_.value_or(time_h), time_h);
  if (!primary_ || primary_ == hand_) {
    if (!hand_) hand_ = primary_ = sensor;
    const Celsius reference =
        beer_temperature_.value().value_or(spec_.plan.empty() ? Celsius{20} : spec_.plan.front().temperature);
    auto& track = tracks_.try_emplace(*hand_, GravityTrack(time_h, points, reference)).first->second;
    if (track.history().empty() || time_h > track.last_h()) {
      // Samples are entered corrected for temperature.
      track.offer(time_h, thermal_.at(time_h), points, std::nullopt);
    }
  }
  refit();
}

// Learns how the hours of the last days depart from the course.
void Tracker::Judgement::learn_wander() {
  if (!course_.ready()) return;
  GravityTrack& track = tracks_.at(*primary_);
  const double slope = track.estimate().warmth_slope;
  const SensorNoise noise = track.noise();
  std::vector<Residual> residuals;
  for (const HourMean& hour : track.history().hours()) {
    if (hour.suspect || hour.time_h < track.last_h() - kNoiseDaysH) continue;
    const double activity = -course_.rate_at(hour.thermal_h) * thermal_speed() / kBusyRate;
    residuals.push_back({hour.time_h, hour.points - slope * hour.warmth - course_.shown_at(hour.thermal_h),
                         std::max(noise.white_var, hour.scatter_var) / std::max(0.3, hour.readings),
                         started_ ? std::clamp(activity, 0.0, 1.0) : 0.0});
  }
  if (residuals.size() < kNoiseHours) return;
  const SensorNoise learnt = learnt_wander(residuals, noise.white_var);
  track.set_wander(learnt.wander_var, learnt.wander_h);
}

void Tracker::Judgement::refit() {
  if (!primary_) return;
  const GravityTrack& track = tracks_.at(*primary_);
  CoursePrior prior{};
  if (spec_.original_gravity) prior.original = points_of(spec_.original_gravity->value());
  if (level_doubt_) prior.likely_original = level_doubt_->original();
  prior.attenuation_middle = spec_.yeast.expected_attenuation();
  prior.attenuation_half_width = (spec_.yeast.attenuation_high - spec_.yeast.attenuation_low) / 2;
  prior.added = added_;
  if (const Yeast& yeast = spec_.yeast; yeast.half_low_h > 0 && yeast.half_high_h > yeast.half_low_h) {
    const double low = std::log(yeast.half_low_h), high = std::log(yeast.half_high_h);
    prior.log_half_fall = {{(low + high) / 2, (high - low) / (2 * 1.2816)}};
  }
  course_.refit(track.history().hours(), track.last_h(), track.noise(), prior);
  learn_wander();
  fitted_to_h_ = track.last_h();
  std::vector<SampleBeside> beside;
  if (primary_ != hand_) {
    for (const Sample& sample : samples_)
      beside.push_back({shown_at(sample.time_h) - moved(), sample.points});
  }
  if (course_.ready()) {
    // Once the fall is well under way the course no longer improves the estimate of its start.
    if (!start_shown_ || course_.done_at(thermal_.now()) < kStartKnown) start_shown_ = start_shown();
    const double sd = moved() != 0 ? std::hypot(start_shown_->second, kMovedSd) : start_shown_->second;
    level_doubt_.emplace(start_shown_->first - moved(), sd, prior.original, beside, hydrometers_beside());
  }
  drive(true);
}

// What the hydrometer showed before fermentation: its first hours, plus what had fallen by then on the
// course. A course that fits a stall badly errs at its start, so an hour counts less the more had fallen.
std::pair<double, double> Tracker::Judgement::start_shown() const {
  const GravityTrack& track = tracks_.at(*primary_);
  const SensorNoise noise = track.noise();
  const double slope = track.estimate().warmth_slope;
  const double start = course_.start_shown();
  double sum = 0, weight = 0;
  for (const HourMean& hour : track.history().hours()) {
    if (hour.suspect) continue;
    if (hour.time_h > track.first_h() + kFirstHours) break;
    const double fallen = start - course_.shown_at(hour.thermal_h);
    const double part = 1 / (noise.of_hour(hour) + kFallenDoubt * kFallenDoubt * (1 + fallen * fallen));
    sum += part * (hour.points - slope * hour.warmth + fallen);
    weight += part;
  }
  if (weight == 0) return {start, kUnknownOffsetSd};
  // The error of the fall is common to all.
  const double first_fallen = start - course_.shown_at(track.history().hours().front().thermal_h);
  return {sum / weight, std::hypot(std::sqrt(1 / weight), kFallenDoubt * first_fallen)};
}

// What the hydrometer showed around that time, or would have shown on the course.
double Tracker::Judgement::shown_at(double time_h) const {
  const GravityTrack& track = tracks_.at(*primary_);
  const double slope = track.estimate().warmth_slope;
  double shown = 0, weight = 0;
  for (const HourMean& hour : track.history().hours()) {
    if (hour.suspect || std::abs(hour.time_h - time_h) > kBesideH) continue;
    const double part = std::max(hour.readings, 0.3);
    // Moved to that time along the course.
    const double moved = course_.shown_at(thermal_.at(time_h)) - course_.shown_at(hour.thermal_h);
    shown += part * (hour.points - slope * hour.warmth + moved);
    weight += part;
  }
  return weight > 0 ? shown / weight : course_.shown_at(thermal_.at(time_h));
}

double Tracker::Judgement::thermal_speed() const {
  return ThermalTime::speed(beer_temperature_.value().value_or(ThermalTime::kReference));
}

void Tracker::Judgement::drive(bool refitted) {
  if (!primary_ || !course_.ready()) return;
  // No fall is expected before a start was detected.
  const double rate = started_ ? course_.rate_at(thermal_.now()) * thermal_speed() : 0.0;
  tracks_.at(*primary_).drive(rate, course_.end_shown(), refitted);
}

std::optional<Tracker::Judgement::Beer> Tracker::Judgement::beer() const {
  if (!primary_) return std::nullopt;
  const GravityTrack& track = tracks_.at(*primary_);
  Beer now{};
  now.shown = track.estimate();
  if (level_doubt_) {
    now.offset = offset();
    now.offset_sd = level_doubt_->sd();
    now.offset_range = level_doubt_->interval();
    for (double* of : {&now.offset_range.value, &now.offset_range.low, &now.offset_range.high})
      *of += moved();
    now.original = level_doubt_->original();
  } else {
    now.original = spec_.original_gravity ? points_of(spec_.original_gravity->value()) : now.shown.level;
    now.offset_sd = kUnknownOffsetSd;
    now.offset_range = {0, -1.2816 * kUnknownOffsetSd, 1.2816 * kUnknownOffsetSd};
  }
  now.points = now.shown.level - now.offset;
  now.points_sd = std::hypot(now.shown.level_sd, now.offset_sd);
  const double noise = 1.2816 * now.shown.level_sd;
  now.range = {now.points, now.points - std::hypot(noise, now.offset_range.high - now.offset),
               now.points + std::hypot(noise, now.offset - now.offset_range.low)};
  now.attenuation =
      now.original > 5 ? std::clamp((now.original - now.points) / now.original, -0.2, 1.3) : 0.0;
  return now;
}

bool Tracker::Judgement::fresh(double now_h) const {
  if (!primary_) return false;
  const GravityTrack& track = tracks_.at(*primary_);
  return now_h - track.last_h() < std::max(kFreshH, kFreshIntervals * track.interval_h());
}

Stage Tracker::Judgement::stage() const {
  if (ledger_.is_open(AlertKind::stuck)) return Stage::stuck;
  if (final_since_) return Stage::finished;
  if (!started_) return Stage::lag;
  if (primary_) {
    const double rate = -tracks_.at(*primary_).estimate().rate;
    if (fastest_rate_ > 0 && rate < 0.25 * fastest_rate_) {
      const auto now = beer();
      if (now && now->attenuation > 0.6 * spec_.yeast.expected_attenuation()) return Stage::slowing;
    }
  }
  return Stage::active;
}

const Hold* Tracker::Judgement::current_hold() const {
  if (spec_.plan.empty()) return nullptr;
  return &spec_.plan[std::min(holds_over_, spec_.plan.size() - 1)];
}

double Tracker::Judgement::chance_left_above(double points) const {
  double above = 0, sum = 0;
  for (const CourseDraw& draw : course_.draws()) {
    sum += draw.weight;
    if (draw.fall * (1 - draw.done(thermal_.now())) > points) above += draw.weight;
  }
  return sum > 0 ? above / sum : 1.0;
}

}  // namespace gyle
