#pragma once

#include <optional>
#include <span>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "units/temperature.h"

namespace gyle {

// From when on the beer's temperature decides how much gas it has kept. While it ferments it makes gas anew;
// what it loses to warmth after that does not come back. Of a beer whose final gravity was found stable that
// is when the still window began in which it was found; of any other it is one such window before `end`.
Time gas_kept_since(const BatchSpec& spec, const BatchView& view, Time end);

// The warmest the beer has been from `from` to `to`, by the mean of each hour: a probe that was in the sun
// for a minute has not warmed twenty litres. Absent when nothing was measured.
//   measured  temperatures in order of time
std::optional<Celsius> warmest_beer(std::span<const UsedReading> measured, Time from, Time to);

}  // namespace gyle
