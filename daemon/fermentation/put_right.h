#pragma once

#include <span>
#include <vector>

#include "fermentation/view.h"

namespace gyle {

// A curve and its readings as they are shown beside the numbers of `view`: freed of how far the float is off,
// by what is known of that now. (The curve itself is what was known at each moment, as the float shows it.)
std::vector<CurvePoint> put_right(std::span<const CurvePoint> curve, const BatchView& view);

}  // namespace gyle
