#pragma once

#include <string>
#include <vector>

#include "fermentation/amendment.h"
#include "wording/display.h"

namespace gyle {

// The differences between two descriptions of one batch, a phrase for each: "original gravity 1.048, not 1.040".
std::vector<std::string> description_differences(const BatchSpec& before, const BatchSpec& after,
                                                 const DisplaySettings& display);

// One amendment for a list:
//   "  3  Fri 6 Mar 09:12  sample 12: 1.012 of Thu 5 Mar 18:30, not 1.021 of Thu 5 Mar 18:30"
std::vector<std::string> amendment_lines(const Amendment& amendment, const DisplaySettings& display);

}  // namespace gyle
