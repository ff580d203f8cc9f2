#pragma once

#include <string>
#include <vector>

#include "calibration/inclination_fit.h"
#include "wording/display.h"

namespace gyle {

// What a calibration is made of and how far it may be trusted: each point with what the curve is off there,
// the whole, and the range.
std::vector<std::string> calibration_lines(const InclinationFit& fit, const DisplaySettings& display);

// "21.4°".
std::string show_inclination(double degrees);

}  // namespace gyle
