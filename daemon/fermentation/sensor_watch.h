#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "fermentation/arrival_share.h"
#include "fermentation/battery_watch.h"
#include "fermentation/stamp_watch.h"
#include "series/reading.h"

namespace gyle {

// The condition of each sensor: when it was heard, whether it is frozen on a value or sends nonsense, the
// state of its battery and its clock, and whether all have fallen silent at once.
//   units  hours since the pitch
class SensorWatch {
 public:
  struct Sensor {
    std::string id;
    std::optional<double> last_heard_h;
    double interval_h = 0;  // learnt: the median of the last gaps; 0 until the second message
    std::array<double, 7> gaps_h{};
    std::size_t gaps = 0;  // ever
    double patience = 1;   // grows each time it was reported silent and came back
    bool gravity = false;  // it has sent gravity
    std::optional<double> last_gravity_h;
    BatteryWatch battery;
    std::optional<int> battery_forecast_low;  // by a forecast alone: the number of battery changes then
    StampWatch stamps;
    ArrivalShare arrival;
    // Silent, but covered by another sensor's alert until then; after that it has its usual time again.
    std::optional<double> excused_h;

    // Freezing: a run of the same gravity.
    double run_value = 0;
    double run_since_h = 0;
    int run = 0;
    int longest_run = 0;         // of runs that have ended
    double change_chance = 0.5;  // that a reading differs from the one before, learnt
    bool coarse = true;          // everything it sent is a whole number of points

    // Refusals: their share of the last readings, and since when it is large.
    double refused_share = 0;
    int refused = 0;
    double refused_value = 0;
    std::optional<double> nonsense_since_h;
  };

  std::size_t index_of(const std::string& id);
  const Sensor& at(std::size_t sensor) const { return sensors_[sensor]; }
  const std::vector<Sensor>& sensors() const { return sensors_; }

  void heard(std::size_t sensor, double time_h, Quantity quantity);
  void gravity(std::size_t sensor, double time_h, double points);
  void battery(std::size_t sensor, double time_h, double volt);
  void refused(std::size_t sensor, double time_h, double value);
  void good(std::size_t sensor);
  // A good time stamp, and a useless one: `by_h` ahead of the present, negative behind it.
  void stamp_good(std::size_t sensor);
  void stamp_off(std::size_t sensor, double now_h, double by_h, double value);
  void came_back(std::size_t sensor);  // after it was reported silent, or excused
  void excuse(std::size_t sensor, double now_h) { sensors_[sensor].excused_h = now_h; }
  void battery_low_by_forecast(std::size_t sensor, bool by_forecast);
  void sampled(std::size_t sensor, double time_h);  // by hand

  // When a gravity was last known, of the sensors and by hand, and until when that is current.
  struct Known {
    double last_h;
    double current_until_h;
  };
  std::optional<Known> gravity_known() const;
  bool silent(std::size_t sensor, double now_h) const;
  bool excused(std::size_t sensor, double now_h) const;
  // No sensor has been heard since about when this one fell silent: one alert covers all.
  bool covers_all(std::size_t sensor) const;
  // How many have missed a message by now, if all have that were heard until this one fell silent.
  std::optional<int> all_overdue(std::size_t sensor, double now_h) const;
  // Evidence of freezing: -ln of the probability that a working sensor repeats itself for so long.
  double frozen_evidence(std::size_t sensor) const;
  bool frozen(std::size_t sensor, double now_h) const;
  bool implausible(std::size_t sensor, double now_h) const;
  bool plausible_again(std::size_t sensor) const;
  // soon: it will be empty within four days, or before `needed_until_h`. near: not long after that, which
  // raises no alert and withdraws none.
  enum class BatteryEnd { far, near, soon };
  BatteryEnd battery_end(std::size_t sensor, double now_h, std::optional<double> needed_until_h) const;

 private:
  static double patience_h(const Sensor& sensor);

  std::vector<Sensor> sensors_;
  std::optional<double> last_sample_h_;
  std::size_t sampled_by_ = 0;
};

}  // namespace gyle
