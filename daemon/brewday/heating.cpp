#include "brewday/heating.h"

#include <algorithm>

#include "brewday/strike.h"

namespace gyle {

Duration heating_time(double water_kg, double kettle_kj_per_k, CelsiusDelta rise, double watts) {
  const double kj = (water_kg * kWaterHeat + kettle_kj_per_k) * rise.value;
  return from_hours(std::max(0.0, kj * 1000 / (watts * kHeatShare) / 3600));
}

}  // namespace gyle
