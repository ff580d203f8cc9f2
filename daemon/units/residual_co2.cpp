#include "units/residual_co2.h"

#include <fmt/format.h>

namespace gyle {

Result<double> residual_co2_volumes(Celsius warmest) {
  if (!(warmest >= Celsius{0} && warmest <= Celsius{30})) {
    return fail(Errc::out_of_range, fmt::format("{:.1f} °C is not between 0 and 30 °C", warmest.value));
  }
  const double f = to_fahrenheit(warmest);
  return 3.0378 - 0.050062 * f + 0.00026555 * f * f;
}

}  // namespace gyle
