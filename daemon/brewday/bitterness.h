#pragma once

#include <span>

#include "base/result.h"
#include "base/time.h"
#include "units/gravity.h"

namespace gyle {

// Hops in the boil.
struct HopCharge {
  double mass_kg = 0;
  double alpha = 0;    // alpha acids, a fraction of the mass
  Duration boiled{0};  // from when they go in to the end of the boil
};

// International bitterness units (mg/L of iso-alpha acids), by two published methods that differ by a quarter and more;
// measured beers differ as much from either.
struct Bitterness {
  double tinseth;
  double rager;
};

// Utilisation: the share of the alpha acids that is in the beer as bitterness. 0 to 6 h; above 1.000 SG.
double tinseth_utilisation(SpecificGravity wort, Duration boiled);
double rager_utilisation(SpecificGravity wort, Duration boiled);

// Whole or pressed hops alike; what is left after the heat is off and dry hops count as nothing by Tinseth.
//   wort    the gravity during the boil: the mean of before and after
//   volume  litres after the boil, at 20 degC, trub included
//   range   volume above 0 L, alpha 0 to 0.3, masses 0 or more, boiled 0 to 6 h; else Errc::out_of_range
//   source  G. Tinseth 1995 and J. Rager, Zymurgy 1990; coefficients of both from memory
//   tests   unit/brewday/bitterness_test.cpp
Result<Bitterness> bitterness_of(std::span<const HopCharge> hops, SpecificGravity wort, double volume_l);

}  // namespace gyle
