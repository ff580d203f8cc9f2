#pragma once

#include <string>
#include <vector>

#include "fermentation/view.h"
#include "units/gravity.h"
#include "wording/display.h"

namespace gyle {

// The gravity of a hand sample at 20 degC and what it changed: the estimate and the offset of the hydrometer,
// each before and after.
std::vector<std::string> sample_lines(SpecificGravity sample, const BatchView& before, const BatchView& after,
                                      const DisplaySettings& display);

}  // namespace gyle
