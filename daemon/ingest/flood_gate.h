#pragma once

#include <cstdint>
#include <string>
#include <unordered_map>

#include "base/time.h"

namespace gyle {

// Keeps a sensor that floods from filling the disk, and never thins a backlog. Each sensor has an allowance
// of readings that grows with time: up to an hour's worth while the sensor is heard, and by the whole length
// of a silence, up to 60 days, when it is heard again: it may have been collecting for that long. So a
// backlog of weeks passes at whatever speed it comes, if the sensor measured no more often than the limit. A
// sensor that is not known begins with an hour's worth, and in a backlog with 60 days'. Pure; bounded: knows
// 10,000 sensors, then begins again.
class FloodGate {
 public:
  explicit FloodGate(std::int64_t readings_per_hour) : per_hour_(readings_per_hour) {}

  // Before any admit() of that sensor: when it was last heard in an earlier run.
  void heard(const std::string& sensor, Time last);

  // Whether to take a reading of `sensor` that arrived at `now`; one clock for all sensors.
  bool admit(const std::string& sensor, Time now, bool backlog);

  // A reading that was not admitted: how many are to be reported now, that one included; 0: later. Once for
  // each sensor and minute, so that refusals do not flood either.
  std::int64_t to_report(const std::string& sensor, Time now);

  // Whether nothing of `sensor` had been refused for an hour when the last report was due.
  bool begins(const std::string& sensor) const;

 private:
  struct Allowance {
    Time last{};
    double readings = 0;
    std::int64_t unreported = 0;
    Time reported{};
    bool begins = false;
  };
  Allowance& of(const std::string& sensor, Time now, bool backlog);

  std::int64_t per_hour_;
  std::unordered_map<std::string, Allowance> sensors_;
};

}  // namespace gyle
