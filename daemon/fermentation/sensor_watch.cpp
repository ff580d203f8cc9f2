#include "fermentation/sensor_watch.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kSilentIntervals = 3;
constexpr double kSilentAtLeastH = 2;
constexpr double kMostPatience = 12;
constexpr double kSlowestRhythmH = 36;  // one message a day is the slowest rhythm
constexpr double kUnknownRhythmH = 30;  // a sensor that was heard once may be that slow
constexpr double kFrozenAtLeastH = 12;
constexpr double kFrozenEvidence = 9;
constexpr double kFrozenCoarseAtLeastH = 24;
constexpr double kFrozenCoarseEvidence = 13;
// On a plateau a coarse sensor repeats itself for longer and longer: it must exceed its own record by far, or
// be still for so long that it hardly matters why.
constexpr int kFrozenCoarseRecord = 4;
constexpr double kFrozenCoarseSurelyH = 42;
constexpr double kRefusalGain = 0.12;  // weight of one reading in the share of refusals
constexpr double kNonsenseShare = 0.6;
constexpr double kSenseShare = 0.1;
constexpr double kNonsenseForH = 1;
constexpr double kAboutIntervals =
    1.5;  // at most so far apart were two sensors last heard that fell silent at once
constexpr double kAboutH = 0.25;
constexpr double kBatterySoonH = 96;
constexpr double kCurrentIntervals = 2;  // a gravity is outdated after so many intervals without another
constexpr double kCurrentAtLeastH = 6;
constexpr double kSampleCurrentH = 24;  // a hand sample

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
  sensor.arrival.heard(time_h);
  if (sensor.last_heard_h && time_h > *sensor.last_heard_h) {
    const double gap_h = time_h - *sensor.last_heard_h;
    if (gap_h > 0.003) {  // several quantities of one message are one sign of life
      sensor.gaps_h[sensor.gaps++ % sensor.gaps_h.size()] = std::min(gap_h, kSlowestRhythmH);
      auto sorted = sensor.gaps_h;
      const auto known = sorted.begin() + static_cast<std::ptrdiff_t>(std::min(sensor.gaps, sorted.size()));
      std::sort(sorted.begin(), known);
      sensor.interval_h = *(sorted.begin() + (known - sorted.begin()) / 2);
    }
  }
  sensor.last_heard_h = std::max(sensor.last_heard_h.value_or(time_h), time_h);
}

void SensorWatch::gravity(std::size_t index, double time_h, double points) {
  Sensor& sensor = sensors_[index];
  sensor.gravity = true;
  sensor.last_gravity_h = time_h;
  if (std::abs(points - std::round(points)) > 1e-6) sensor.coarse = false;
  if (sensor.run > 0 && std::abs(points - sensor.run_value) < 1e-9) {
    ++sensor.run;
    return;
  }
  if (sensor.run > 0) {
    sensor.longest_run = std::max(sensor.longest_run, sensor.run);
    // The run that ends was `run - 1` repetitions and this change.
    for (int i = 1; i < std::min(sensor.run, 50); ++i) sensor.change_chance *= 0.98;
    sensor.change_chance += 0.02 * (1 - sensor.change_chance);
  }
  sensor.run = 1;
  sensor.run_value = points;
  sensor.run_since_h = time_h;
}

void SensorWatch::battery(std::size_t index, double time_h, double volt) {
  sensors_[index].battery.offer(time_h, volt);
}

void SensorWatch::battery_low_by_forecast(std::size_t index, bool by_forecast) {
  Sensor& sensor = sensors_[index];
  sensor.battery_forecast_low = by_forecast ? std::optional(sensor.battery.changes()) : std::nullopt;
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

void SensorWatch::stamp_good(std::size_t index) { sensors_[index].stamps.good(); }

void SensorWatch::stamp_off(std::size_t index, double now_h, double by_h, double value) {
  Sensor& sensor = sensors_[index];
  sensor.stamps.off(now_h, by_h);
  sensor.refused_value = value;
}

void SensorWatch::came_back(std::size_t index) {
  Sensor& sensor = sensors_[index];
  sensor.patience = std::min(3 * sensor.patience, kMostPatience);
  sensor.excused_h.reset();
}

double SensorWatch::patience_h(const Sensor& sensor) {
  if (sensor.gaps == 0) return kUnknownRhythmH;
  return sensor.patience * std::max(kSilentAtLeastH, kSilentIntervals * sensor.interval_h);
}

void SensorWatch::sampled(std::size_t sensor, double time_h) {
  if (last_sample_h_ && *last_sample_h_ > time_h) return;
  last_sample_h_ = time_h;
  sampled_by_ = sensor;
}

std::optional<SensorWatch::Known> SensorWatch::gravity_known() const {
  std::optional<Known> known;
  const auto add = [&known](double last_h, double for_h) {
    if (!known) known = Known{last_h, last_h + for_h};
    known->last_h = std::max(known->last_h, last_h);
    known->current_until_h = std::max(known->current_until_h, last_h + for_h);
  };
  for (const Sensor& sensor : sensors_) {
    if (!sensor.last_gravity_h) continue;
    add(*sensor.last_gravity_h, std::max(kCurrentAtLeastH, kCurrentIntervals * sensor.interval_h));
  }
  if (last_sample_h_) {
    add(*last_sample_h_, std::max(kSampleCurrentH, kCurrentIntervals * sensors_[sampled_by_].interval_h));
  }
  return known;
}

bool SensorWatch::silent(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  return sensor.last_heard_h && now_h - *sensor.last_heard_h > patience_h(sensor);
}

bool SensorWatch::excused(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  return sensor.excused_h && now_h - *sensor.excused_h <= patience_h(sensor);
}

bool SensorWatch::covers_all(std::size_t index) const {
  const Sensor& sensor = sensors_[index];
  if (!sensor.last_heard_h) return false;
  const double about_h = *sensor.last_heard_h + kAboutIntervals * sensor.interval_h + kAboutH;
  return std::none_of(sensors_.begin(), sensors_.end(), [&](const Sensor& other) {
    return other.last_heard_h && *other.last_heard_h > about_h;
  });
}

std::optional<int> SensorWatch::all_overdue(std::size_t index, double now_h) const {
  if (!covers_all(index)) return std::nullopt;
  int count = 0;
  for (const Sensor& other : sensors_) {
    if (!other.last_heard_h) continue;
    const double about_h = kAboutIntervals * other.interval_h + kAboutH;
    if (*sensors_[index].last_heard_h > *other.last_heard_h + about_h) continue;  // was silent before
    if (now_h - *other.last_heard_h <= about_h) return std::nullopt;
    ++count;
  }
  return count;
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
  if (!sensor.coarse) return since_h > kFrozenAtLeastH && evidence > kFrozenEvidence;
  return since_h > kFrozenCoarseAtLeastH && evidence > kFrozenCoarseEvidence &&
         (sensor.run > kFrozenCoarseRecord * sensor.longest_run || since_h > kFrozenCoarseSurelyH);
}

bool SensorWatch::implausible(std::size_t index, double now_h) const {
  const Sensor& sensor = sensors_[index];
  if (sensor.stamps.off_by_h()) return true;
  return sensor.nonsense_since_h && now_h - *sensor.nonsense_since_h >= kNonsenseForH;
}

bool SensorWatch::plausible_again(std::size_t index) const {
  return sensors_[index].refused_share < kSenseShare && !sensors_[index].stamps.off_by_h();
}

SensorWatch::BatteryEnd SensorWatch::battery_end(std::size_t index, double now_h,
                                                 std::optional<double> needed_until_h) const {
  const auto empty = sensors_[index].battery.empty_h();
  if (!empty) return BatteryEnd::far;
  const double needed_h = std::max(kBatterySoonH, needed_until_h.value_or(now_h) - now_h);
  if (empty->value - now_h < needed_h && empty->high - now_h < 2 * needed_h) return BatteryEnd::soon;
  return empty->value - now_h < 1.5 * needed_h + 24 ? BatteryEnd::near : BatteryEnd::far;
}

}  // namespace gyle
