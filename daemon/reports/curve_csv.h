#pragma once

#include <string>

#include "fermentation/view.h"

namespace gyle {

// The curve as CSV: a header, then a row per accepted gravity reading. Gravities in SG, temperature in degC,
// attenuation as a fraction; the interval is the 80 % one.
std::string curve_csv_header();
std::string curve_csv_row(const CurvePoint& point);

}  // namespace gyle
