#include "fermentation/warmth_ahead.h"

#include <algorithm>
#include <array>

namespace gyle {

double WarmthAhead::hour_of(double thermal_h, double step_thermal_h) const {
  std::array<Change, 4> legs{Change{now_h, speed_now}};
  std::size_t count = 1;
  const auto then = [&](const Change& change) {
    while (count > 1 && legs[count - 1].from_h >= change.from_h) --count;
    legs[count++] = {std::max(change.from_h, now_h), change.speed};
  };
  const auto reach = [&](double wanted) {
    double done = now_thermal_h;
    for (std::size_t i = 0; i + 1 < count; ++i) {
      const double by_end = done + (legs[i + 1].from_h - legs[i].from_h) * legs[i].speed;
      if (wanted <= by_end) return legs[i].from_h + (wanted - done) / legs[i].speed;
      done = by_end;
    }
    return legs[count - 1].from_h + (wanted - done) / legs[count - 1].speed;
  };
  if (under_way) then(*under_way);
  then({reach(std::max(step_thermal_h, now_thermal_h)) + step_delay_h, speed_next});
  if (supposed) then(*supposed);
  return reach(thermal_h);
}

}  // namespace gyle
