#pragma once

#include <optional>
#include <span>
#include <vector>

#include "fermentation/gravity_history.h"
#include "fermentation/sensor_noise.h"

namespace gyle {

// Estimates how much is still to come from the end of the fall alone, without any growth curve: its last few
// points are a quick exponential, with or without a slow one, for every pair of a grid of time constants,
// weighted by how well each explains the readings. A steady creep is a slow part with a long time constant;
// beers that do end often have a small slow part, too.
//   units  points; thermal hours
//   cost   about 50 microseconds; deterministic; keeps no state
class TailFit {
 public:
  // Uses the hours, newest last, whose gravity is within a few points of the present; absent when they are
  // too few. `speed`: thermal hours per hour now; `slow_prior`: probability that such a beer creeps.
  static std::optional<TailFit> of(std::span<const HourMean> hours, double now_thermal_h, double speed,
                                   double slow_prior, const SensorNoise& noise, double warmth_slope,
                                   double warmth_slope_sd);

  double chance_left_above(double points) const;  // of the fall still to come
  // The probability that over the last `window_h` thermal hours it fell by more.
  double chance_fell_above(double points, double window_h) const;
  double left() const;  // its mean
  // One possible end.
  struct Ending {
    double weight;
    double left;  // mean, points, not truncated
    double left_sd;
    double level;  // asymptote, points at the reference temperature
    double level_sd;
    double slow_left;  // parts of `left`
    double quick_left;
    double quick_h, slow_h;  // time constants; slow_h 0: none
    bool creep;
  };
  std::span<const Ending> endings() const { return endings_; }

 private:
  std::vector<Ending> endings_;
};

}  // namespace gyle
