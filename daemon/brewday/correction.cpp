#include "brewday/correction.h"

#include <fmt/format.h>

#include "units/density.h"

namespace gyle {

Result<Corrections> correct_boil(const BoilAhead& ahead, SpecificGravity wanted) {
  if (!(wanted.value() >= 1.005 && wanted.value() <= 1.130)) {
    return fail(Errc::out_of_range,
                fmt::format("an original gravity of {:.4f} is not between 1.005 and 1.130", wanted.value()));
  }
  if (!(ahead.evaporation_kg_per_h >= 0 && ahead.sugar_kg >= 0 && ahead.sugar_extract_kg >= 0 &&
        ahead.boil >= Duration(0) && ahead.boil <= hours(6))) {
    return fail(Errc::out_of_range,
                "evaporation and sugar cannot be negative, and a boil is between 0 and 6 h");
  }
  if (!(ahead.wort.extract_kg > 0)) {
    return fail(Errc::out_of_range, "what was measured has no extract in it; was it water?");
  }
  Corrections c;
  c.accepted.extract_kg = ahead.wort.extract_kg + ahead.sugar_extract_kg;
  c.accepted.mass_kg =
      ahead.wort.mass_kg + ahead.sugar_kg - ahead.evaporation_kg_per_h * in_hours(ahead.boil);
  if (!(c.accepted.mass_kg > 0 && c.accepted.strength().value <= 30)) {
    return fail(
        Errc::out_of_range,
        fmt::format("a boil of {:.0f} min would leave less wort than there can be of {:.1f} L; look at "
                    "the volume and at the evaporation",
                    in_hours(ahead.boil) * 60, ahead.wort.volume_l()));
  }
  constexpr GravityPoints kClose{0.5};
  const GravityPoints off = c.accepted.gravity() - wanted;
  const Wort right{100 * c.accepted.extract_kg / to_plato(wanted).value, c.accepted.extract_kg};
  if (off > kClose) {
    c.dilution = {1000 * (right.mass_kg - c.accepted.mass_kg) / water_density(Celsius{20}), right};
  } else if (off < GravityPoints{-kClose.value}) {
    c.weak = true;
    const double too_much_kg = c.accepted.mass_kg - right.mass_kg;
    if (too_much_kg < 24 * ahead.evaporation_kg_per_h) {
      c.longer = {from_hours(too_much_kg / ahead.evaporation_kg_per_h), right};
    }
  }
  return c;
}

}  // namespace gyle
