#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {

namespace {
constexpr double kFarthestClockH = 1e8;  // a clock can be any time off; this is beyond all calendars
}  // namespace

BatchView Tracker::Judgement::view() const {
  BatchView view{};
  view.time = clock_.now();
  view.stage = stage();
  const auto now = beer();
  if (now) {
    view.gravity =
        Interval{1 + now->range.value / 1000, 1 + now->range.low / 1000, 1 + now->range.high / 1000};
    view.original_gravity = gravity_of(now->original);
    view.original_gravity_inferred = !spec_.original_gravity;
    view.offset =
        PointsInterval{{now->offset_range.value}, {now->offset_range.low}, {now->offset_range.high}};
    view.attenuation = now->attenuation;
  }
  if (const auto known = watch_.gravity_known()) {
    view.known = spec_.pitched + from_hours(known->last_h);
    view.current_until = spec_.pitched + from_hours(known->current_until_h);
  }
  view.temperature = beer_temperature_.value();
  view.started = started_;
  view.final_gravity_since = final_since_;
  view.holds_over = static_cast<int>(holds_over_);
  const bool old = view.old_at(view.time);
  if (now && !old) view.rate_points_per_day = 24 * now->shown.rate;
  if (old) {
    view.forecast.time = view.time;
  } else {
    view.forecast = make_forecast(clock_.now());
  }
  for (std::size_t i = 0; i < watch_.sensors().size(); ++i) {
    const SensorWatch::Sensor& sensor = watch_.at(i);
    if (!sensor.last_heard_h && sensor.refused == 0) continue;  // hand samples
    SensorHealth health{};
    health.sensor = sensor.id;
    if (sensor.last_heard_h) health.last_heard = spec_.pitched + from_hours(*sensor.last_heard_h);
    if (sensor.interval_h > 0) health.usual_interval = from_hours(sensor.interval_h);
    const double now_h = hours_since_pitch(clock_.now());
    health.battery_v = sensor.battery.volt();
    if (const auto empty = sensor.battery.empty_h()) {
      const auto days = [&](double hour) { return std::max(0.0, hour - now_h) / 24; };
      health.battery_days = Interval{days(empty->value), days(empty->low), days(empty->high)};
    }
    health.arrived_share = sensor.arrival.share(now_h);
    if (const auto gap_h = sensor.arrival.longest_gap_h(now_h)) health.longest_gap = from_hours(*gap_h);
    if (const auto off_h = sensor.stamps.off_by_h()) {
      health.clock_off = from_hours(std::clamp(*off_h, -kFarthestClockH, kFarthestClockH));
    }
    health.battery_low = ledger_.is_open(AlertKind::battery_low, sensor.id);
    health.silent = watch_.silent(i, now_h) || ledger_.is_open(AlertKind::sensor_silent, sensor.id);
    health.frozen = ledger_.is_open(AlertKind::sensor_frozen, sensor.id);
    health.implausible = ledger_.is_open(AlertKind::sensor_implausible, sensor.id);
    view.sensors.push_back(std::move(health));
  }
  view.reasons = reasons(view, now);
  return view;
}

std::vector<Reason> Tracker::Judgement::reasons(const BatchView& view, const std::optional<Beer>& now) const {
  if (!now) return {{Finding::no_reading, {}}};
  if (view.old_at(view.time)) {
    return {{Finding::outdated, {{"known_time", in_seconds(view.known->time_since_epoch())}}}};
  }
  std::vector<Reason> all;
  switch (view.stage) {
    case Stage::lag:
      all.push_back(
          {Finding::not_falling,
           {{"gravity_sg", view.gravity->value}, {"rate_points_per_day", *view.rate_points_per_day}}});
      break;
    case Stage::active:
      all.push_back(
          {Finding::falling,
           {{"rate_points_per_day", *view.rate_points_per_day}, {"attenuation", now->attenuation}}});
      break;
    case Stage::slowing:
      all.push_back({Finding::slower,
                     {{"rate_points_per_day", *view.rate_points_per_day},
                      {"fastest_points_per_day", -24 * fastest_rate_}}});
      break;
    case Stage::finished:
      all.push_back(
          {Finding::stable,
           {{"window_hours", in_hours(spec_.final_gravity.window)}, {"attenuation", now->attenuation}}});
      break;
    case Stage::stuck:
      all.push_back(
          {Finding::stopped, {{"gravity_sg", view.gravity->value}, {"attenuation", now->attenuation}}});
      break;
  }
  if (std::abs(now->offset) > 1 && now->offset_sd < std::abs(now->offset)) {
    all.push_back(
        {now->offset > 0 ? Finding::reads_high : Finding::reads_low, {{"offset_points", now->offset}}});
  }
  for (Reason& reason : disagreements()) all.push_back(std::move(reason));
  if (view.forecast.end_unknown) {
    all.push_back({Finding::end_unknown,
                   {{"attenuation", now->attenuation}, {"expected_high", spec_.yeast.attenuation_high}}});
  }
  if (started_ && !final_since_ && end_window_) {
    Evidence numbers{{"change_points", -end_window_->fall}, {"change_error_points", end_window_->fall_se}};
    if (tail_ || !view.forecast.end_unknown) {
      const double tolerance = spec_.final_gravity.tolerance.value;
      numbers.emplace_back("chance_more_than_tolerance_left",
                           tail_ ? tail_->chance_left_above(tolerance) : chance_left_above(tolerance));
    }
    if (const auto ready = outlook({}).ready_time) {
      numbers.emplace_back("sure_in_hours", std::max(1.0, in_hours(ready->value - clock_.now())));
    }
    all.push_back({Finding::waiting_to_be_stable, std::move(numbers)});
  }
  return all;
}

}  // namespace gyle
