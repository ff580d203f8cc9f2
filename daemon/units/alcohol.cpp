#include "units/alcohol.h"

#include <fmt/format.h>

#include "units/density.h"

namespace gyle {

Result<Alcohol> alcohol(SpecificGravity original, SpecificGravity present) {
  constexpr double kEthanol = 789.24;  // kg/m3 at 20 degC
  if (!(original.value() >= 1.010 && original.value() <= 1.130)) {
    return fail(
        Errc::out_of_range,
        fmt::format("an original gravity of {:.4f} is not between 1.010 and 1.130", original.value()));
  }
  if (!(present.value() >= 0.990 && present <= original)) {
    return fail(Errc::out_of_range,
                fmt::format("a gravity of {:.4f} is not between 0.990 and the original, {:.4f}",
                            present.value(), original.value()));
  }
  const double before = to_plato(original).value;
  const double after = to_plato(present).value;
  const double real = 0.1808 * before + 0.8192 * after;
  const double by_weight = (before - real) / (2.0665 - 0.010665 * before) / 100;
  const double ethanol_sg = kEthanol / water_density(Celsius{20});
  return Alcohol{by_weight * present.value() / ethanol_sg, by_weight, (before - real) / before};
}

}  // namespace gyle
