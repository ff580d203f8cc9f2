#include "units/gravity.h"

#include <fmt/format.h>

#include <cmath>

namespace gyle {

Result<SpecificGravity> SpecificGravity::from(double value) {
  constexpr double kLowest = 0.980;
  constexpr double kHighest = 1.200;
  if (value >= kLowest && value <= kHighest) return SpecificGravity(value);
  if (value >= kLowest * 1000 && value <= kHighest * 1000) {
    return fail(Errc::out_of_range,
                fmt::format("{} looks like kg/m3 or thousandths; specific gravity would be {:.4f}", value,
                            value / 1000));
  }
  if (value >= 2 && value <= 150) {
    return fail(Errc::out_of_range,
                fmt::format("{} looks like gravity points or degrees Plato, not specific gravity", value));
  }
  return fail(Errc::out_of_range,
              fmt::format("{} is no specific gravity; expected {:.3f} to {:.3f}", value, kLowest, kHighest));
}

Plato to_plato(SpecificGravity gravity) {
  const double s = gravity.value();
  return Plato{((182.46007 * s - 775.68212) * s + 1262.7794) * s - 669.56218};
}

SpecificGravity to_specific_gravity(Plato extract) {
  double s = 1.0 + extract.value / (258.6 - 0.8796 * extract.value);
  for (int i = 0; i < 8; ++i) {
    const double slope = (3 * 182.46007 * s - 2 * 775.68212) * s + 1262.7794;
    const double step = (to_plato(SpecificGravity::unchecked(s)).value - extract.value) / slope;
    s -= step;
    if (std::abs(step) < 1e-12) break;
  }
  return SpecificGravity::unchecked(s);
}

}  // namespace gyle
