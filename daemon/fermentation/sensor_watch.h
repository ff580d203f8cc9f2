#pragma once

#include <optional>
#include <string>
#include <vector>

#include "series/reading.h"

namespace gyle {

// Whether each sensor lives: when it was heard, whether it has frozen on a value, whether it sends nonsense,
// how its battery does.
//   units  hours since the pitch
class SensorWatch {
 public:
  struct Sensor {
    std::string id;
    std::optional<double> last_heard_h;
    double interval_h = 0;  // learnt; 0 until the second reading
    double patience = 1;    // grows each time it was called silent and came back
    bool gravity = false;   // it has sent gravity
    std::optional<double> battery_v;
    double battery_most = 0;
    int battery_low_count = 0;

    // Freezing: the run of one and the same gravity.
    double run_value = 0;
    double run_since_h = 0;
    int run = 0;
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
  void battery(std::size_t sensor, double volt);
  void refused(std::size_t sensor, double time_h, double value);
  void good(std::size_t sensor);
  void came_back(std::size_t sensor);  // after it was called silent

  bool silent(std::size_t sensor, double now_h) const;
  // How surely it has frozen: -ln of the chance that a live sensor repeats itself so long.
  double frozen_evidence(std::size_t sensor) const;
  bool frozen(std::size_t sensor, double now_h) const;
  bool implausible(std::size_t sensor, double now_h) const;
  bool plausible_again(std::size_t sensor) const;
  bool battery_low(std::size_t sensor) const;

 private:
  std::vector<Sensor> sensors_;
};

}  // namespace gyle
