#include "fermentation/judgement.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace gyle {
namespace {

constexpr Duration kLookEvery = minutes(15);
constexpr double kOtherFloatAfterH = 6;    // the first float silent for so long: another speaks for the batch
constexpr double kFarAbove = 8;            // points
constexpr double kUnknownStrayPoints = 3;  // above the original gravity or so is no reading of this beer

double points_of(double gravity) { return (gravity - 1.0) * 1000.0; }

bool gravity_plausible(double value) { return std::isfinite(value) && value >= 0.980 && value <= 1.200; }

}  // namespace

Tracker::Judgement::Judgement(BatchSpec spec)
    : spec_(std::move(spec)), clock_(spec_.pitched), looked_(spec_.pitched) {}

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
    // A hand sample is worth as much when it is entered in the evening.
    const bool entered_late = verdict == EventClock::Verdict::late && reading->quantity == Quantity::sample;
    if (verdict == EventClock::Verdict::accepted || entered_late) {
      accept(*reading, sensor, out);
    } else {
      // Whenever it was measured, the sensor lives; but a clock that is far off makes its readings useless.
      const double now_h = hours_since_pitch(clock_.now());
      watch_.heard(sensor, now_h, reading->quantity);
      if (reading->time_quality == TimeQuality::stamped && reading->quantity != Quantity::sample) {
        // Any time can be sent: the difference of two is not a Duration then.
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
    if (next > time) return;
    if (forecast_first) {
      forecast_row(next, out);
    } else {
      looked_ = look_at;
      look(look_at, out);
    }
  }
}

void Tracker::Judgement::look(Time time, Outcome& out) {
  const double now_h = hours_since_pitch(time);
  const double fallback = current_hold() != nullptr
                              ? current_hold()->temperature.value
                              : (spec_.yeast.temperature_low.value + spec_.yeast.temperature_high.value) / 2;
  thermal_.advance(now_h, beer_temperature_.value().value_or(fallback));
  drive(false);
  judge_sensors(time, out);
  judge_temperature(time, out);
  judge_plan(time, beer(), out);
  if ((time - spec_.pitched) % hours(1) == Duration{}) deliberate(time, out);
}

void Tracker::Judgement::deliberate(Time time, Outcome& out) {
  const auto now = beer();
  if (now) {
    judge_start(time, *now, out);
    judge_end(time, *now, out);
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
        samples_.push_back({thermal_.at(time_h), points_of(reading.value)});
        watch_.sampled(time_h);
        out.measured.push_back({reading.time, reading.quantity, reading.value});
        refit();
      }
      break;
    case Quantity::beer_temperature:
      good = TemperatureTrack::plausible(reading.value);
      if (good && measured_now && beer_temperature_.offer(time_h, reading.value, sensor)) {
        out.measured.push_back({reading.time, reading.quantity, reading.value});
      }
      break;
    case Quantity::ambient_temperature:
      good = TemperatureTrack::plausible(reading.value);
      if (good && measured_now && ambient_temperature_.offer(time_h, reading.value, sensor)) {
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
  auto found = floats_.find(sensor);
  if (found == floats_.end()) {
    const double reference =
        beer_temperature_.value().value_or(spec_.plan.empty() ? 20.0 : spec_.plan.front().temperature.value);
    // No wort reads far above its original gravity: then the first reading is a wild one.
    const double most =
        spec_.original_gravity ? points_of(spec_.original_gravity->value()) + kFarAbove : points;
    found = floats_.emplace(sensor, GravityTrack(time_h, std::min(points, most), reference)).first;
  } else if (reading.time == *last_curve_ && found->second.last_h() == time_h) {
    return;  // delivered twice
  }
  watch_.gravity(sensor, time_h, points);
  GravityTrack& track = found->second;
  const bool was_pinned = track.pinned();
  track.offer(time_h, thermal_.now(), points, beer_temperature_.value());
  if (track.pinned() && !was_pinned && primary_ == sensor) refit();  // without what it showed while it hung
  last_curve_ = reading.time;
  if (!primary_ || (*primary_ != sensor && time_h - floats_.at(*primary_).last_h() > kOtherFloatAfterH)) {
    primary_ = sensor;
  }

  const auto says = track.estimate();
  double sd = 0;
  const double shown = track.shown(says, &sd);
  const auto now = beer();
  CurvePoint point{};
  point.time = reading.time;
  point.gravity_raw = reading.value;
  const double half = 1.2816 * sd;
  point.gravity = {1 + shown / 1000, 1 + (shown - half) / 1000, 1 + (shown + half) / 1000};
  point.temperature = beer_temperature_.value();
  if (now && now->original > 5) point.attenuation = now->attenuation;
  point.stage = stage();
  out.curve.push_back(point);
}

void Tracker::Judgement::refit() {
  if (!primary_) return;
  const GravityTrack& track = floats_.at(*primary_);
  CoursePrior prior{};
  if (spec_.original_gravity) prior.original = points_of(spec_.original_gravity->value());
  prior.attenuation_middle = spec_.yeast.expected_attenuation();
  prior.attenuation_half_width = (spec_.yeast.attenuation_high - spec_.yeast.attenuation_low) / 2;
  course_.refit(track.history().hours(), track.last_h(), track.noise(), prior, samples_);
  fitted_to_h_ = track.last_h();
  drive(true);
}

double Tracker::Judgement::thermal_speed() const {
  return ThermalTime::speed(beer_temperature_.value().value_or(ThermalTime::kReference));
}

void Tracker::Judgement::drive(bool anew) {
  if (!primary_ || !course_.ready()) return;
  // Until it has been seen to start, nothing is expected of it.
  const double rate = started_ ? course_.rate_at(thermal_.now()) * thermal_speed() : 0.0;
  floats_.at(*primary_).drive(rate, course_.end_shown(), anew);
}

std::optional<Tracker::Judgement::Beer> Tracker::Judgement::beer() const {
  if (!primary_) return std::nullopt;
  const GravityTrack& track = floats_.at(*primary_);
  Beer now{};
  now.float_says = track.estimate();
  double original = 0, weight = 0, offset = 0, offset_square = 0;
  for (const CourseDraw& draw : course_.draws()) {
    original += draw.weight * draw.start;
    offset += draw.weight * draw.offset;
    offset_square += draw.weight * draw.offset * draw.offset;
    weight += draw.weight;
  }
  if (weight > 0) {
    now.original = original / weight;
    now.offset = offset / weight;
    now.offset_sd = std::sqrt(std::max(0.0, offset_square / weight - now.offset * now.offset));
  } else {
    now.original = spec_.original_gravity ? points_of(spec_.original_gravity->value()) : now.float_says.level;
    now.offset_sd = kUnknownStrayPoints;
  }
  now.points = now.float_says.level - now.offset;
  now.points_sd = std::hypot(now.float_says.level_sd, now.offset_sd);
  now.attenuation =
      now.original > 5 ? std::clamp((now.original - now.points) / now.original, -0.2, 1.3) : 0.0;
  return now;
}

Stage Tracker::Judgement::stage() const {
  if (ledger_.stands(AlertKind::stuck)) return Stage::stuck;
  if (final_since_) return Stage::finished;
  if (!started_) return Stage::lag;
  if (primary_) {
    const double rate = -floats_.at(*primary_).estimate().rate;
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
