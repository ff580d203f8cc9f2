#pragma once

#include <optional>
#include <span>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "units/temperature.h"

namespace gyle {

// From when on the beer's temperature decides how much gas it has kept. While it ferments it replaces lost
// gas; what warmth drives out later is not replaced. For a beer whose final gravity was found stable this is
// the start of the stable window; for any other it is one such window before `end`.
Time gas_kept_since(const BatchSpec& spec, const BatchView& view, Time end);

// The warmest the beer has been from `from` to `to`, by the mean of each hour: a minute of sun on the
// probe does not warm the beer. Absent when nothing was measured.
//   measured  temperatures in order of time
std::optional<Celsius> warmest_beer(std::span<const UsedReading> measured, Time from, Time to);

}  // namespace gyle
