#include "fermentation/sensor_watch.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kSilentIntervals = 3;
constexpr double kSilentAtLeastH = 2;
constexpr double kMostPatience = 12;
constexpr double kFrozenAtLeastH = 12;
constexpr double kFrozenEvidence = 9;
constexpr double kFrozenCoarseAtLeastH = 24;
constexpr double kFrozenCoarseEvidence = 13;
constexpr double kRefusalGain = 0.12;  // of one reading in the share of refusals
constexpr double kNonsenseShare = 0.6;
constexpr double kSenseShare = 0.1;
constexpr double kNonsenseForH = 1;
constexpr int kBatteryRun = 3;

// Below this a cell is nearly empty, by the highest voltage it has shown.
double nearly_empty(double most) {
  if (most > 4.35) return 3.6;   // three alkaline cells
  if (most > 3.45) return 3.45;  // a lithium-ion cell
  if (most > 1.8) return 2.4;    // two alkaline cells, or a lithium coin
  return 1.1;                    // one alkaline cell
}

}  // namespace

std::size_t SensorWatch::index_of(const std::string& id) {
  for (std::size_t i = 0; i < sensors_.size(); ++i) {
    if (sensors_[i].id == id) return i;
  }
  Sensor& sensor = sensors_.emplace_back();
  sensor.id = id;
  return sensors_.size() - 1;
}

void SensorWatch::heard(std::size_t index, double time_h, Quantity quantity) {
  if (quantity == Quantity::sample) return;
  Sensor& sensor = sensors_[index];
  if (sensor.last_heard_h && time_h > *sensor.last_heard_h) {
    const double gap_h = time_h - *sensor.last_heard_h;
    if (gap_h > 0.003) {  // several quantities of one message are one sign of life
      const double fair =
          sensor.interval_h == 0 ? std::min(gap_h, 2.0) : std::min(gap_h, 2 * sensor.interval_h + 0.02);
      sensor.interval_h += (sensor.interval_h == 0 ? 1.0 : 0.1) * (fair - sensor.interval_h);
    }
  }
  sensor.last_heard_h = std::max(sensor.last_heard_h.value_or(time_h), time_h);
}

void SensorWatch::gravity(std::size_t index, double time_h, double points) {
  Sensor& sensor = sensors_[index];
  sensor.gravity = true;
  if (std::abs(points - std::round(points)) > 1e-6) sensor.coarse = false;
  if (sensor.run > 0 && std::abs(points - sensor.run_value) < 1e-9) {
    ++sensor.run;
    return;
  }
  if (sensor.run > 0) {
    // The run that ends was `run - 1` repetitions and this change.
    for (int i = 1; i < std::min(sensor.run, 50); ++i) sensor.change_chance *= 0.98;
    sensor.change_chance += 0.02 * (1 - sensor.change_chance);
  }
  sensor.run = 1;
  sensor.run_value = points;
  sensor.run_since_h = time_h;
}

void SensorWatch::battery(std::size_t index, double volt) {
  Sensor& sensor = sensors_[index];
  sensor.battery_v = volt;
  sensor.battery_most = std::max(sensor.battery_most, volt);
  const double limit = nearly_empty(sensor.battery_most);
  if (volt < limit) {
    sensor.battery_low_count = std::min(sensor.battery_low_count + 1, 2 * kBatteryRun);
  } else if (volt > limit + 0.05) {
    sensor.battery_low_count = std::max(sensor.battery_low_count - 1, 0);
  }
}

void SensorWatch::refused(std::size_t index, double time_h, double value) {
  Sensor& sensor = sensors_[index];
  ++sensor.refused;
  sensor.refused_value = value;
  sensor.refused_share += kRefusalGain * (1 - sensor.refused_share);
  if (sensor.refused_share > kNonsenseShare && !sensor.nonsense_since_h) sensor.nonsense_since_h = time_h;
}

void SensorWatch::good(std::size_t index) {
  Sensor& sensor = sensors_[index];
  sensor.refused_share -= kRefusalGain * sensor.refused_share;
  if (sensor.refused_share < kNonsenseShare) sensor.nonsense_since_h.reset();
}

void SensorWatch::came_back(std::size_t index) {
  Sensor& sensor = sensors_[index];
  sensor.patience = std::min(3 * sensor.patience, kMostPatience);
}

bool SensorWatch::silent(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  if (!sensor.last_heard_h) return false;
  return now_h - *sensor.last_heard_h >
         sensor.patience * std::max(kSilentAtLeastH, kSilentIntervals * sensor.interval_h);
}

double SensorWatch::frozen_evidence(std::size_t index) const {
  const Sensor& sensor = sensors_[index];
  const double chance = std::clamp(sensor.change_chance / 2, 0.01, 0.45);
  return -std::log1p(-chance) * static_cast<double>(sensor.run - 1);
}

bool SensorWatch::frozen(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  if (!sensor.gravity || sensor.run < 8) return false;
  const double since_h = now_h - sensor.run_since_h;
  const double evidence = frozen_evidence(index);
  return sensor.coarse ? since_h > kFrozenCoarseAtLeastH && evidence > kFrozenCoarseEvidence
                       : since_h > kFrozenAtLeastH && evidence > kFrozenEvidence;
}

bool SensorWatch::implausible(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  return sensor.nonsense_since_h && now_h - *sensor.nonsense_since_h >= kNonsenseForH;
}

bool SensorWatch::plausible_again(std::size_t index) const {
  return sensors_[index].refused_share < kSenseShare;
}

bool SensorWatch::battery_low(std::size_t index) const {
  return sensors_[index].battery_low_count >= kBatteryRun;
}

}  // namespace gyle
