#pragma once

#include "base/result.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// What a hydrometer made for `calibrated_at` would read at that temperature when it reads `reading` at
// `taken_at`. The liquid is assumed to expand like water and the glass not at all: the larger expansion of
// wort and that of the glass nearly cancel. Within 0.0004 SG of sucrose solutions up to 1.050, and
// 0.0008 up to 1.080, between 10 and 30 degC.
//   range   both temperatures 0 to 60 degC, else Errc::out_of_range; so is a result outside [0.980, 1.200]
Result<SpecificGravity> corrected_hydrometer_reading(SpecificGravity reading, Celsius taken_at,
                                                     Celsius calibrated_at = Celsius{20});

}  // namespace gyle
