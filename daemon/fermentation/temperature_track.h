#pragma once

#include <deque>
#include <optional>
#include <vector>

#include "series/page_hinkley.h"
#include "units/temperature.h"

namespace gyle {

// One temperature, from any number of probes, without error values and single outliers.
//   units  hours since the pitch
class TemperatureTrack {
 public:
  // A temperature that a probe in a cellar can measure; 85 and -127 degC are the values of a lost probe.
  static bool plausible(Celsius celsius);

  // False: a jump that no second reading has confirmed yet, or another probe is in use.
  bool offer(double time_h, Celsius celsius, std::size_t probe);

  // Smoothed over about an hour; absent before the first reading.
  std::optional<Celsius> value() const { return smooth_; }
  std::optional<double> last_h() const { return last_h_; }
  std::optional<std::size_t> probe() const { return probe_; }  // the one in use
  // A probe that is not in use but heard, and by how much it is warmer than the one in use over the last
  // hours: the one that differs most. Absent when there is none.
  struct Other {
    std::size_t probe;
    CelsiusDelta by;
  };
  std::optional<Other> disagreement() const;
  // Its change over the last hours, up to a day; absent when it was not known then.
  std::optional<CelsiusDelta> change_over(double hours) const;
  // The latest lasting change of its mean: when it was detected, and the mean before.
  struct Change {
    double time_h;
    Celsius before;
  };
  std::optional<Change> last_change() const { return change_; }

 private:
  void compare(double time_h, Celsius celsius, std::size_t probe);
  static constexpr double kChangeTolerance = 0.25;  // K: thermostats swing
  static constexpr double kChangeThreshold = 4;     // K, summed over hours
  std::optional<std::size_t> probe_;                // the one in use
  std::optional<double> last_h_;
  std::optional<Celsius> smooth_;
  struct Past {
    double time_h;
    Celsius celsius;
  };
  struct Unused {
    std::size_t probe;
    double first_h;
    double last_h;
    CelsiusDelta by;
  };
  std::vector<Unused> unused_;
  std::optional<Past> doubted_;  // a jump waiting for a second reading like it
  std::deque<Past> past_;        // hourly, a day
  PageHinkley warmer_{kChangeTolerance, kChangeThreshold};
  PageHinkley colder_{kChangeTolerance, kChangeThreshold};
  std::optional<Change> change_;
};

// Thermal time: the hours at 20 degC in which yeast would have done as much, by a factor Q10 for ten degrees
// (2 is the usual planning figure).
class ThermalTime {
 public:
  static constexpr double kQ10 = 2.2;
  static constexpr Celsius kReference{20};

  static double speed(Celsius celsius);  // thermal hours per hour

  // Ignored when time does not advance.
  void advance(double time_h, Celsius celsius);
  double now() const { return thermal_h_; }
  double at(double time_h) const;       // thermal hours then; interpolated
  double when(double thermal_h) const;  // the hour at which it was reached; within what has passed

 private:
  struct Knot {
    double time_h;
    double thermal_h;
  };
  double time_h_ = 0;
  double thermal_h_ = 0;
  std::vector<Knot> knots_;  // hourly
};

}  // namespace gyle
