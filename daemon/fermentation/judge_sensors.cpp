#include "fermentation/judgement.h"

namespace gyle {

void Tracker::Judgement::judge_sensors(Time time, Outcome& out) {
  const double now_h = hours_since_pitch(time);
  for (std::size_t i = 0; i < watch_.sensors().size(); ++i) {
    const SensorWatch::Sensor& sensor = watch_.at(i);
    const std::string& id = sensor.id;
    if (watch_.silent(i, now_h)) {
      ledger_.raise(time, AlertKind::sensor_silent,
                    {{"silent_hours", now_h - *sensor.last_heard_h},
                     {"usual_interval_minutes", sensor.interval_h * 60}},
                    out.decisions, id);
    } else if (ledger_.stands(AlertKind::sensor_silent, id)) {
      ledger_.withdraw(time, AlertKind::sensor_silent, {{"usual_interval_minutes", sensor.interval_h * 60}},
                       out.decisions, id);
      watch_.came_back(i);
    }
    if (watch_.frozen(i, now_h)) {
      ledger_.raise(time, AlertKind::sensor_frozen,
                    {{"frozen_hours", now_h - sensor.run_since_h}, {"value", 1 + sensor.run_value / 1000}},
                    out.decisions, id);
    } else if (sensor.run <= 1) {
      ledger_.withdraw(time, AlertKind::sensor_frozen, {{"value", 1 + sensor.run_value / 1000}},
                       out.decisions, id);
    }
    if (watch_.implausible(i, now_h)) {
      ledger_.raise(time, AlertKind::sensor_implausible,
                    {{"refused_readings", sensor.refused}, {"value", sensor.refused_value}}, out.decisions,
                    id);
    } else if (watch_.plausible_again(i)) {
      ledger_.withdraw(time, AlertKind::sensor_implausible, {{"refused_readings", sensor.refused}},
                       out.decisions, id);
    }
    if (watch_.battery_low(i)) {
      ledger_.raise(time, AlertKind::battery_low, {{"battery_volt", *sensor.battery_v}}, out.decisions, id);
    } else if (sensor.battery_v && sensor.battery_low_count == 0) {
      ledger_.withdraw(time, AlertKind::battery_low, {{"battery_volt", *sensor.battery_v}}, out.decisions,
                       id);
    }
  }
}

}  // namespace gyle
