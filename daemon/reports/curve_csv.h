#pragma once

#include <string>

#include "fermentation/view.h"

namespace gyle {

// The curve as CSV: a header, then a row per accepted gravity reading. Gravities in SG, temperature in degC,
// attenuation as a fraction; the interval is the 80 % one.
std::string curve_csv_header();
// The same columns, each with its unit in its name, for readers without this documentation.
//   time_utc                the reading's, RFC 3339
//   gravity_raw_sg          as the hydrometer reported
//   gravity_sg              the estimate
//   gravity_low_sg, gravity_high_sg   its 80 % interval
//   temperature_celsius     of the beer; empty while it is not known
//   attenuation_fraction    apparent, 0 to 1; empty while the original gravity is not known
//   stage                   lag, active, slowing, finished or stuck
std::string curve_csv_header_with_units();
std::string curve_csv_row(const CurvePoint& point);

}  // namespace gyle
