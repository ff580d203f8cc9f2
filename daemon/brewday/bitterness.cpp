#include "brewday/bitterness.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

double in_minutes(Duration d) { return 60 * in_hours(d); }

}  // namespace

double tinseth_utilisation(SpecificGravity wort, Duration boiled) {
  const double bigness = 1.65 * std::pow(0.000125, wort.value() - 1);
  const double growth = (1 - std::exp(-0.04 * in_minutes(boiled))) / 4.15;
  return bigness * growth;
}

double rager_utilisation(SpecificGravity wort, Duration boiled) {
  const double percent = 18.11 + 13.86 * std::tanh((in_minutes(boiled) - 31.32) / 18.27);
  const double strong = std::max(0.0, (wort.value() - 1.050) / 0.2);
  return percent / 100 / (1 + strong);
}

Result<Bitterness> bitterness_of(std::span<const HopCharge> hops, SpecificGravity wort, double volume_l) {
  if (!(volume_l > 0)) {
    return fail(Errc::out_of_range,
                fmt::format("a volume of {:.6g} L cannot be; above 0 L is expected", volume_l));
  }
  Bitterness sum{0, 0};
  for (const HopCharge& charge : hops) {
    const bool possible = charge.mass_kg >= 0 && charge.alpha >= 0 && charge.alpha <= 0.3 &&
                          charge.boiled >= Duration(0) && charge.boiled <= hours(6);
    if (!possible) {
      return fail(
          Errc::out_of_range,
          fmt::format("{:.6g} kg of hops with {:.6g} % alpha acids, boiled {:.6g} min: up to 30 % and up "
                      "to 360 min is expected",
                      charge.mass_kg, 100 * charge.alpha, in_minutes(charge.boiled)));
    }
    const double mg_per_l = charge.mass_kg * 1e6 * charge.alpha / volume_l;
    sum.tinseth += mg_per_l * tinseth_utilisation(wort, charge.boiled);
    sum.rager += mg_per_l * rager_utilisation(wort, charge.boiled);
  }
  return sum;
}

}  // namespace gyle
