#pragma once

#include "fermentation/batch.h"
#include "units/gravity.h"
#include "wording/display.h"

namespace gyle {

// Whether a hand sample can be of this beer: taken since the pitch and not in the future, and not above the
// original gravity that the brewer gave by more than three points. Errc::out_of_range with a sentence.
Status check_sample(const BatchSpec& batch, SpecificGravity gravity, Time taken, Time now,
                    const DisplaySettings& display);

}  // namespace gyle
