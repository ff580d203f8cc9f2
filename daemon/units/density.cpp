#include "units/density.h"

#include <fmt/format.h>

namespace gyle {
namespace {

constexpr double kAir = 1.199;  // kg/m3, at 20 degC and one atmosphere

}  // namespace

double water_density(Celsius temperature) {
  const double t = temperature.value;
  const double numerator =
      999.83952 +
      t * (16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 + t * -280.54253e-12))));
  return numerator / (1 + 16.879850e-3 * t);
}

Result<SpecificGravity> from_density(double kg_per_m3) {
  if (!(kg_per_m3 >= 950 && kg_per_m3 <= 1200)) {
    return fail(Errc::out_of_range,
                fmt::format("{} kg/m3 is no density of wort or beer; expected 950 to 1200", kg_per_m3));
  }
  return SpecificGravity::from((kg_per_m3 - kAir) / (water_density(Celsius{20}) - kAir));
}

double to_density(SpecificGravity gravity) {
  return gravity.value() * (water_density(Celsius{20}) - kAir) + kAir;
}

}  // namespace gyle
