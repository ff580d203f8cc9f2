#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "fermentation/battery_watch.h"
#include "fermentation/reception.h"
#include "fermentation/stamp_watch.h"
#include "series/reading.h"

namespace gyle {

// Whether each sensor lives: when it was heard, whether it has frozen on a value, whether it sends nonsense,
// how its battery and its clock do, and whether all have fallen silent at once.
//   units  hours since the pitch
class SensorWatch {
 public:
  struct Sensor {
    std::string id;
    std::optional<double> last_heard_h;
    double interval_h = 0;  // learnt: the median of the last gaps; 0 until the second message
    std::array<double, 7> gaps_h{};
    std::size_t gaps = 0;  // ever
    double patience = 1;   // grows each time it was called silent and came back
    bool gravity = false;  // it has sent gravity
    std::optional<double> last_gravity_h;
    BatteryWatch battery;
    std::optional<int> battery_feared;  // the number of changes then: a forecast called it low
    StampWatch stamps;
    Reception reception;
    // Silent, but another's silence spoke for all until then; after that it is given as much time as ever.
    std::optional<double> excused_h;

    // Freezing: the run of one and the same gravity.
    double run_value = 0;
    double run_since_h = 0;
    int run = 0;
    int longest_run = 0;         // of those that have ended
    double change_chance = 0.5;  // that a reading differs from the one before, learnt
    bool coarse = true;          // everything it sent is a whole number of points

    // Refusals: how many of the last readings, and since when it is mostly that.
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
  // A stamp of the present, and one that is of no use because it is `by_h` ahead of it or (negative) behind.
  void stamp_good(std::size_t sensor);
  void stamp_off(std::size_t sensor, double now_h, double by_h, double value);
  void came_back(std::size_t sensor);  // after it was called silent, or excused
  void excuse(std::size_t sensor, double now_h) { sensors_[sensor].excused_h = now_h; }
  void fear_battery(std::size_t sensor, bool feared);
  void sampled(std::size_t sensor, double time_h);  // by hand

  // When a gravity was last known, of the sensors and by hand, and until when that counts as the present.
  struct Known {
    double last_h;
    double current_until_h;
  };
  std::optional<Known> gravity_known() const;
  bool silent(std::size_t sensor, double now_h) const;
  bool excused(std::size_t sensor, double now_h) const;
  // Nobody has been heard since about when this one fell silent: its silence speaks for all.
  bool speaks_for_all(std::size_t sensor) const;
  // How many have missed a message by now, if it is all that had been heard when this one fell silent.
  std::optional<int> all_overdue(std::size_t sensor, double now_h) const;
  // How surely it has frozen: -ln of the chance that a live sensor repeats itself so long.
  double frozen_evidence(std::size_t sensor) const;
  bool frozen(std::size_t sensor, double now_h) const;
  bool implausible(std::size_t sensor, double now_h) const;
  bool plausible_again(std::size_t sensor) const;
  // It will be empty within four days, or before `needed_until_h`; or (soon enough to worry, too late to
  // take it back) not long after that.
  enum class BatteryEnd { far, near, soon };
  BatteryEnd battery_end(std::size_t sensor, double now_h, std::optional<double> needed_until_h) const;

 private:
  static double patience_h(const Sensor& sensor);

  std::vector<Sensor> sensors_;
  std::optional<double> last_sample_h_;
  std::size_t sampled_by_ = 0;
};

}  // namespace gyle
