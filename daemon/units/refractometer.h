#pragma once

#include "base/result.h"
#include "units/gravity.h"

namespace gyle {

// Refractometers are made for sugar water; wort shows a little more. A reading is divided by this to become
// extract; 1.04 is common practice, each instrument has its own.
constexpr double kWortCorrection = 1.04;

// Gravity of a wort that has not begun to ferment, from what a refractometer shows of it: the reading by the
// wort correction is its extract.
//   range   readings 0 to 40, wort correction 0.9 to 1.2, else Errc::out_of_range. As good as the
//           correction: half a point at 1.050 when that is wrong by 0.01.
Result<SpecificGravity> refractometer_wort_gravity(double reading, double wort_correction = kWortCorrection);

// Gravity of a fermenting beer from what a refractometer shows of it, in degrees Brix or Plato: alcohol bends
// light too, so that the reading alone is far too high.
//   range   readings 0 to 40, wort correction 0.9 to 1.2, original gravity 1.020 to 1.130, the result a
//           SpecificGravity; else Errc::out_of_range. Some two points wrong in finished beer, more before.
//   source  the cubic that S. Terrill fitted to finished beers in 2010, from memory:
//             1 - 0.0044993 i + 0.0117741 f + 0.000275806 i^2 - 0.00127169 f^2 - 0.00000727999 i^3
//               + 0.0000632929 f^3, i and f the readings before and after fermentation, corrected for wort.
//           It was fitted to beers that end, and misses an unfermented wort by eight points. Above six tenths
//           of the original reading, where no finished beer is, a straight line therefore leads from it to
//           the original gravity: ours.
Result<SpecificGravity> refractometer_gravity(double reading, SpecificGravity original,
                                              double wort_correction = kWortCorrection);

// Whether refractometer_gravity() takes the cubic for this reading, or the straight line.
bool refractometer_by_cubic(double reading, SpecificGravity original,
                            double wort_correction = kWortCorrection);

}  // namespace gyle
