#pragma once

#include <algorithm>

#include "fermentation/gravity_history.h"

namespace gyle {

// The noise of a float, points: white from reading to reading, and a slow wander that it forgets in some
// hours.
struct FloatNoise {
  static constexpr double kWanderH = 3;

  double white_var;
  double wander_var;

  // Of an hour's mean, as if hours were independent: the wander of one hour counts for as long as it lasts.
  double of_hour(const HourMean& hour) const {
    return white_var / std::max(0.3, hour.readings) + wander_var * 2 * kWanderH / std::max(1.0, hour.span_h);
  }
};

}  // namespace gyle
