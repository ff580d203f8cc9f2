#include "brewday/wort.h"

#include <fmt/format.h>

#include "units/density.h"

namespace gyle {
namespace {

constexpr double kStrongest = 30;  // degP; the sucrose tables' formula goes no further

Status check_volume(double volume_l) {
  if (volume_l > 0 && volume_l <= 10000) return success();
  return fail(Errc::out_of_range,
              fmt::format("{} L is no volume of wort; above 0 and up to 10000 L is expected", volume_l));
}

}  // namespace

double Wort::volume_l() const { return 1000 * mass_kg / to_density(gravity()); }

Result<Wort> wort_of(double volume_l, SpecificGravity gravity) {
  BOOST_OUTCOME_TRYV(check_volume(volume_l));
  if (!(gravity.value() >= 1.0 && gravity.value() <= 1.130)) {
    return fail(Errc::out_of_range,
                fmt::format("a wort of {:.4f} is not between 1.000 and 1.130", gravity.value()));
  }
  const double mass = volume_l * to_density(gravity) / 1000;
  // The formula gives 0.005 degP less than nothing for water.
  return Wort{mass, mass * std::max(0.0, to_plato(gravity).value) / 100};
}

Result<Wort> wort_with(double volume_l, double extract_kg) {
  BOOST_OUTCOME_TRYV(check_volume(volume_l));
  if (!(extract_kg >= 0)) {
    return fail(Errc::out_of_range, fmt::format("{} kg is no amount of extract", extract_kg));
  }
  // The mass depends on the density, and that weakly on the extract: each round gains two digits and more.
  Wort wort{volume_l * water_density(Celsius{20}) / 1000, extract_kg};
  for (int round = 0; round < 20; ++round) {
    if (wort.strength().value > kStrongest * 1.2) break;
    wort.mass_kg = volume_l * to_density(wort.gravity()) / 1000;
  }
  if (wort.strength().value > kStrongest) {
    return fail(Errc::out_of_range,
                fmt::format("{:.2f} kg of extract in {:.1f} L would be stronger than {:.0f} °P; is a mass "
                            "or the volume mistyped?",
                            extract_kg, volume_l, kStrongest));
  }
  return wort;
}

Result<double> volume_at_20(double volume_l, Celsius measured_at) {
  BOOST_OUTCOME_TRYV(check_volume(volume_l));
  if (!(measured_at.value >= 0 && measured_at.value <= 105)) {
    return fail(Errc::out_of_range,
                fmt::format("wort is not measured at {:.1f} °C; 0 to 105 °C is expected", measured_at.value));
  }
  return volume_l * water_density(measured_at) / water_density(Celsius{20});
}

}  // namespace gyle
