#pragma once

#include <string>
#include <vector>

#include "calibration/inclination_fit.h"
#include "wording/display.h"

namespace gyle {

// The points of a calibration, each with the error of the curve there, the standard deviation, and the range
// in which it is valid.
std::vector<std::string> calibration_lines(const InclinationFit& fit, const DisplaySettings& display);

// "21.4°".
std::string show_inclination(double degrees);

}  // namespace gyle
