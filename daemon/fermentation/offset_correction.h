#pragma once

#include <span>
#include <vector>

#include "fermentation/view.h"

namespace gyle {

// A curve and its readings, corrected by the offset of the hydrometer as `view` knows it: they agree with the
// numbers of the view then. The curve itself is what was known at each moment, as the hydrometer showed it.
std::vector<CurvePoint> without_offset(std::span<const CurvePoint> curve, const BatchView& view);

}  // namespace gyle
