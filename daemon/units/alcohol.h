#pragma once

#include "base/result.h"
#include "units/gravity.h"

namespace gyle {

// What has become of a wort's extract, all as fractions of 1.
struct Alcohol {
  double by_volume;  // at 20 degC
  double by_weight;
  double real_attenuation;  // of the extract that was there, alcohol taken out of the reckoning
};

// Alcohol from the gravities before and after, by the route of Balling: the real extract
// R = 0.1808 E + 0.8192 A of the original extract E and the apparent A (degP), then
// (E - R) / (2.0665 - 0.010665 E) by weight, and by volume with ethanol's density of 789.24 kg/m3. Other
// routes differ by 0.2 % by volume at most in beers of 1.100.
//   source  C. J. N. Balling's equations as used by ASBC and EBC; his factors as tabulated for 6 to 30 degP
//   errors  Errc::out_of_range: the original gravity is not between 1.010 and 1.130, the present one is not
//           between 0.990 and the original
Result<Alcohol> alcohol(SpecificGravity original, SpecificGravity present);

}  // namespace gyle
