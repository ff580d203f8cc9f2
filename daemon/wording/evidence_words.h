#pragma once

#include <string>

#include "fermentation/decision.h"
#include "wording/display.h"

namespace gyle {

// The numbers behind a decision or a reason, in their order, as the brewer reads them: "gravity 1.021, 61 %
// attenuated". Values that are not finite are left out; an unknown number is shown by its own name.
std::string evidence_words(const Evidence& evidence, const DisplaySettings& display);

}  // namespace gyle
