#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {

BatchView Tracker::Judgement::view() const {
  BatchView view{};
  view.time = clock_.now();
  view.stage = stage();
  const auto now = beer();
  if (now) {
    view.gravity =
        Interval{1 + now->range.value / 1000, 1 + now->range.low / 1000, 1 + now->range.high / 1000};
    view.original_gravity = 1 + now->original / 1000;
    view.original_gravity_inferred = !spec_.original_gravity;
    view.float_offset = now->offset_range;
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
  if (now && !old) view.rate_points_per_day = 24 * now->float_says.rate;
  if (old) {
    view.forecast.time = view.time;
  } else {
    view.forecast = make_forecast(clock_.now());
  }
  for (std::size_t i = 0; i < watch_.sensors().size(); ++i) {
    const SensorWatch::Sensor& sensor = watch_.at(i);
    if (!sensor.last_heard_h && sensor.refused == 0) continue;  // the brewer's hand
    SensorHealth health{};
    health.sensor = sensor.id;
    if (sensor.last_heard_h) health.last_heard = spec_.pitched + from_hours(*sensor.last_heard_h);
    if (sensor.interval_h > 0) health.usual_interval_s = sensor.interval_h * 3600;
    const double now_h = hours_since_pitch(clock_.now());
    health.battery_v = sensor.battery.volt();
    if (const auto empty = sensor.battery.empty_h()) {
      const auto days = [&](double hour) { return std::max(0.0, hour - now_h) / 24; };
      health.battery_days = Interval{days(empty->value), days(empty->low), days(empty->high)};
    }
    health.arrived_share = sensor.reception.share(now_h);
    if (const auto gap_h = sensor.reception.longest_gap_h(now_h)) health.longest_gap_s = *gap_h * 3600;
    if (const auto off_h = sensor.stamps.off_by_h()) health.clock_off_s = *off_h * 3600;
    health.battery_low = ledger_.stands(AlertKind::battery_low, sensor.id);
    health.silent = watch_.silent(i, now_h) || ledger_.stands(AlertKind::sensor_silent, sensor.id);
    health.frozen = ledger_.stands(AlertKind::sensor_frozen, sensor.id);
    health.implausible = ledger_.stands(AlertKind::sensor_implausible, sensor.id);
    view.sensors.push_back(std::move(health));
  }
  const auto say = [&](std::string text, Evidence numbers) {
    view.reasons.push_back({std::move(text), std::move(numbers)});
  };
  if (!now) {
    say("No gravity reading has arrived yet.", {});
    return view;
  }
  if (old) {
    say("No gravity has been known for too long: nothing is said of how it goes now, or of what comes.",
        {{"known_time", in_seconds(view.known->time_since_epoch())}});
    return view;
  }
  switch (view.stage) {
    case Stage::lag:
      say("Gravity has not yet fallen by more than the hydrometer's noise.",
          {{"gravity_sg", view.gravity->value}, {"rate_points_per_day", *view.rate_points_per_day}});
      break;
    case Stage::active:
      say("Gravity is falling.",
          {{"rate_points_per_day", *view.rate_points_per_day}, {"attenuation", now->attenuation}});
      break;
    case Stage::slowing:
      say("Gravity falls much slower than at its fastest.",
          {{"rate_points_per_day", *view.rate_points_per_day},
           {"fastest_points_per_day", -24 * fastest_rate_}});
      break;
    case Stage::finished:
      say("Gravity has been stable over the whole window, and no more than the tolerance is expected to "
          "follow.",
          {{"window_hours", in_hours(spec_.final_gravity.window)}, {"attenuation", now->attenuation}});
      break;
    case Stage::stuck:
      say("Gravity has stopped although more sugar is left than the yeast should leave.",
          {{"gravity_sg", view.gravity->value}, {"attenuation", now->attenuation}});
      break;
  }
  if (std::abs(now->offset) > 1 && now->offset_sd < std::abs(now->offset)) {
    say(now->offset > 0
            ? "The hydrometer reads high against the original gravity or the hand samples; this is taken off."
            : "The hydrometer reads low against the original gravity or the hand samples; this is added.",
        {{"offset_points", now->offset}});
  }
  if (started_ && !final_since_ && end_window_) {
    Evidence numbers{{"change_points", -end_window_->fall},
                     {"change_error_points", end_window_->fall_se},
                     {"chance_more_than_tolerance_left",
                      tail_ ? tail_->chance_left_above(spec_.final_gravity.tolerance.value)
                            : chance_left_above(spec_.final_gravity.tolerance.value)}};
    if (const auto ready = outlook({}).ready_time) {
      const double now_s = in_seconds(clock_.now().time_since_epoch());
      numbers.emplace_back("sure_in_hours", std::max(1.0, (ready->value - now_s) / 3600));
    }
    say("It counts as stable when neither the change over the window nor what is left to fall is more than "
        "the tolerance.",
        std::move(numbers));
  }
  return view;
}

}  // namespace gyle
