#include <algorithm>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kDiedH =
    24;  // a sensor falls silent within this time of its battery's forecast end: that is why

}  // namespace

void Tracker::Judgement::judge_sensors(Time time, Outcome& out) {
  const double now_h = hours_since_pitch(time);
  for (std::size_t i = 0; i < watch_.sensors().size(); ++i) {
    if (judge_silence(time, i, out)) continue;  // one cause, one alert
    const SensorWatch::Sensor& sensor = watch_.at(i);
    const std::string& id = sensor.id;
    if (watch_.frozen(i, now_h)) {
      ledger_.raise(time, AlertKind::sensor_frozen,
                    {{"frozen_hours", now_h - sensor.run_since_h}, {"value", 1 + sensor.run_value / 1000}},
                    out.decisions, id);
    } else if (sensor.run <= 1) {
      ledger_.withdraw(time, AlertKind::sensor_frozen, {{"value", 1 + sensor.run_value / 1000}},
                       out.decisions, id);
    }
    const int refused = std::max(sensor.refused, sensor.stamps.messages());
    if (watch_.implausible(i, now_h)) {
      Evidence evidence{{"refused_readings", refused}, {"value", sensor.refused_value}};
      if (const auto off_h = sensor.stamps.off_by_h()) evidence.emplace_back("clock_off_hours", *off_h);
      ledger_.raise(time, AlertKind::sensor_implausible, std::move(evidence), out.decisions, id);
    } else if (watch_.plausible_again(i)) {
      ledger_.withdraw(time, AlertKind::sensor_implausible, {{"refused_readings", refused}}, out.decisions,
                       id);
    }
    judge_battery(time, i, out);
  }
}

// True: no other alert about it now.
bool Tracker::Judgement::judge_silence(Time time, std::size_t i, Outcome& out) {
  const double now_h = hours_since_pitch(time);
  const SensorWatch::Sensor& sensor = watch_.at(i);
  if (!watch_.silent(i, now_h)) {
    if (ledger_.is_open(AlertKind::sensor_silent, sensor.id)) {
      ledger_.withdraw(time, AlertKind::sensor_silent, {{"usual_interval_minutes", sensor.interval_h * 60}},
                       out.decisions, sensor.id);
      watch_.came_back(i);
    } else if (sensor.excused_h) {
      watch_.came_back(i);
    }
    return false;
  }
  if (ledger_.is_open(AlertKind::sensor_silent, sensor.id)) return true;
  for (std::size_t j = 0; j < watch_.sensors().size(); ++j) {
    if (j == i || !watch_.covers_all(j)) continue;
    if (!ledger_.is_open(AlertKind::sensor_silent, watch_.at(j).id)) continue;
    watch_.excuse(i, now_h);
    return true;
  }
  if (watch_.excused(i, now_h)) return true;
  Evidence evidence{{"silent_hours", now_h - *sensor.last_heard_h}};
  if (sensor.interval_h > 0) evidence.emplace_back("usual_interval_minutes", sensor.interval_h * 60);
  const auto together = watch_.all_overdue(i, now_h);
  if (together && *together > 1) {
    evidence.emplace_back("sensors_silent", *together);
  } else if (battery_died(i)) {
    evidence.emplace_back("battery_volt", *sensor.battery.volt());
  }
  ledger_.raise(time, AlertKind::sensor_silent, std::move(evidence), out.decisions, sensor.id);
  return true;
}

bool Tracker::Judgement::battery_died(std::size_t i) const {
  const BatteryWatch& battery = watch_.at(i).battery;
  if (battery.nearly_empty()) return true;
  return battery.empty_h() && battery.empty_h()->value < *watch_.at(i).last_heard_h + kDiedH;
}

void Tracker::Judgement::judge_battery(Time time, std::size_t i, Outcome& out) {
  const SensorWatch::Sensor& sensor = watch_.at(i);
  const BatteryWatch& battery = sensor.battery;
  if (!battery.volt()) return;
  const double now_h = hours_since_pitch(time);
  const auto end = watch_.battery_end(i, now_h, final_since_ ? std::nullopt : done_h_);
  Evidence evidence{{"battery_volt", *battery.volt()}};
  if (const auto empty = battery.empty_h()) {
    evidence.emplace_back("days_left", std::max(0.0, empty->value - now_h) / 24);
  }
  if (battery.nearly_empty() || end == SensorWatch::BatteryEnd::soon) {
    if (ledger_.is_open(AlertKind::battery_low, sensor.id)) return;
    watch_.battery_low_by_forecast(i, !battery.nearly_empty());
    ledger_.raise(time, AlertKind::battery_low, std::move(evidence), out.decisions, sensor.id);
  } else if (battery.far_from_empty() && end == SensorWatch::BatteryEnd::far) {
    // An alert from a forecast is withdrawn by a better forecast or another battery, not by a lack of one.
    if (sensor.battery_forecast_low == battery.changes() && !battery.empty_h()) return;
    ledger_.withdraw(time, AlertKind::battery_low, std::move(evidence), out.decisions, sensor.id);
  }
}

}  // namespace gyle
