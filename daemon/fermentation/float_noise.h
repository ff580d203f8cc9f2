#pragma once

#include <algorithm>
#include <cmath>
#include <span>

#include "fermentation/gravity_history.h"

namespace gyle {

// The noise of a float, points: white from reading to reading, and a slow wander that it forgets in some
// hours.
struct FloatNoise {
  double white_var = 0.5;
  double wander_var = 0.15;
  double wander_h = 3;

  // Of an hour's mean, as if hours were independent: the wander of one hour counts for as long as it lasts.
  double of_hour(const HourMean& hour) const {
    const double kept = std::exp(-std::max(1.0, hour.span_h) / wander_h);
    return white_var / std::max(0.3, hour.readings) + wander_var * (1 + kept) / (1 - kept);
  }
};

// An hour's mean less what a course of the batch expects.
struct Residual {
  double time_h;
  double points;
  double white_var;  // of this mean
  double activity;   // how fast the beer falls, by the fastest that shakes a float: 0 to 1
};

// The wander of a float by how its hours stray from the course: strength, memory, and whether activity
// strengthens it, each on a small grid, weighed by the likelihood of the innovations beside a slow stray of
// the beer itself. At rest, that is without activity.
//   order   oldest first; the last five days are enough
//   cost    about 0.3 ms for 120 hours; deterministic
//   tests   unit/fermentation/float_noise_test.cpp
FloatNoise learnt_wander(std::span<const Residual> residuals, double white_var);

}  // namespace gyle
