#include "packaging/warmest_beer.h"

#include <algorithm>
#include <cmath>

namespace gyle {

Time gas_kept_since(const BatchSpec& spec, const BatchView& view, Time end) {
  return view.final_gravity_since.value_or(end) - spec.final_gravity.window;
}

std::optional<Celsius> warmest_beer(std::span<const UsedReading> measured, Time from, Time to) {
  std::optional<Celsius> warmest;
  for (std::size_t begin = 0; begin < measured.size();) {
    double sum = 0;
    int count = 0;
    std::size_t next = begin;
    for (; next < measured.size() && measured[next].time < measured[begin].time + hours(1); ++next) {
      const UsedReading& one = measured[next];
      if (one.time < from || one.time > to || !std::isfinite(one.value)) continue;
      sum += one.value;
      ++count;
    }
    begin = next;
    if (count == 0) continue;
    warmest = std::max(warmest.value_or(Celsius{sum / count}), Celsius{sum / count});
  }
  return warmest;
}

}  // namespace gyle
