#include "units/hydrometer.h"

#include <fmt/format.h>

#include "units/density.h"

namespace gyle {

Result<SpecificGravity> corrected_hydrometer_reading(SpecificGravity reading, Celsius taken_at,
                                                     Celsius calibrated_at) {
  for (const Celsius t : {taken_at, calibrated_at}) {
    if (!(t.value >= 0 && t.value <= 60)) {
      return fail(Errc::out_of_range,
                  fmt::format("a hydrometer reading cannot be corrected at {:.1f} °C; let the sample come to "
                              "between 0 and 60 °C",
                              t.value));
    }
  }
  return SpecificGravity::from(reading.value() * water_density(calibrated_at) / water_density(taken_at));
}

}  // namespace gyle
