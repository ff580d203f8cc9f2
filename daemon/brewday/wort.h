#pragma once

#include "base/result.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// A quantity of wort by what is conserved when water is boiled away or poured in: its mass, and the extract
// in it.
struct Wort {
  double mass_kg = 0;
  double extract_kg = 0;

  Plato strength() const { return Plato{100 * extract_kg / mass_kg}; }
  SpecificGravity gravity() const { return to_specific_gravity(strength()); }
  double volume_l() const;  // at 20 degC
};

// Litres that a kilogram of sugar adds to the volume of a wort, at 20 degC: 0.62, from the densities of
// sucrose solutions of 5 to 20 % (Plato 1900, as in NBS Circular C440, table 113).
constexpr double kLitresPerKgSugar = 0.62;

// Wort of this volume at 20 degC.
//   range   volume above 0 L; gravity 1.000 to 1.130; else Errc::out_of_range
Result<Wort> wort_of(double volume_l, SpecificGravity gravity);

// Wort of this volume at 20 degC with so much extract in it.
//   range   volume above 0 L, extract from 0 kg to what makes 30 degP; else Errc::out_of_range
Result<Wort> wort_with(double volume_l, double extract_kg);

// The volume at 20 degC of one that was measured hot, by the density of water (units/density.h), which wort
// follows to half a percent.
//   range   volume above 0 L, 0 to 105 degC; else Errc::out_of_range
Result<double> volume_at_20(double volume_l, Celsius measured_at);

}  // namespace gyle
