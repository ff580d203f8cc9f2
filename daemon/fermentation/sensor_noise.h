#pragma once

#include <algorithm>
#include <cmath>
#include <span>

#include "fermentation/gravity_history.h"

namespace gyle {

// The noise of a hydrometer, points: white noise from reading to reading, and a slow wander that decays
// within hours.
struct SensorNoise {
  double white_var = 0.5;
  double wander_var = 0.15;
  double wander_h = 3;

  // Variance of an hourly mean, as if hours were independent: the wander is counted over its whole memory.
  double of_hour(const HourMean& hour) const {
    const double kept = std::exp(-std::max(1.0, hour.span_h) / wander_h);
    return white_var / std::max(0.3, hour.readings) + wander_var * (1 + kept) / (1 - kept);
  }
};

// An hourly mean minus the course of the batch.
struct Residual {
  double time_h;
  double points;
  double white_var;  // of this mean
  double activity;   // rate of the fall, as a fraction of one that shakes a hydrometer most: 0 to 1
};

// Learns the wander of a hydrometer from its residuals: strength, memory, and whether activity increases it,
// each on a small grid, weighted by the likelihood of the innovations. The beer itself may stray slowly from
// the course. The result is that without activity.
//   order   oldest first; the last five days are enough
//   cost    about 0.3 ms for 120 hours; deterministic
//   tests   unit/fermentation/sensor_noise_test.cpp
SensorNoise learnt_wander(std::span<const Residual> residuals, double white_var);

}  // namespace gyle
