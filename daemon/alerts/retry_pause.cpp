#include "alerts/retry_pause.h"

#include <algorithm>
#include <cmath>

namespace gyle {

Duration retry_pause(int failures, double random) {
  constexpr double kFirst_s = 5;
  constexpr double kLongest_s = 3600;
  const double full_s = std::min(kLongest_s, kFirst_s * std::pow(2.0, std::min(failures, 20) - 1));
  return from_hours(full_s * (1 - random / 3) / 3600);
}

}  // namespace gyle
