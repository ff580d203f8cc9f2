#pragma once

#include <span>
#include <vector>

#include "fermentation/view.h"

namespace gyle {

// A curve as it is known now, for pictures of the past. (A Tracker's curve is what was known at each moment; it lags behind
// a fast fall and is as far off as the hydrometer.)
//   curve   in order of time; of one batch, or the last part of it
//   out     as many points, at the same times. gravity: a robust local line through the readings on both sides, less the
//           offset that `view` knows; its 80 % interval includes the doubt about that offset. gravity_raw: less the
//           offset. The newest point is the gravity of `view`, and what is near it leads there. The rest is unchanged.
//   cost    O(n) for n points; a curve longer than kMostNodes bins is looked at more coarsely
//   source  Cleveland 1979, Robust locally weighted regression
//   tests   unit/fermentation/hindsight_test.cpp
std::vector<CurvePoint> in_hindsight(std::span<const CurvePoint> curve, const BatchView& view);

}  // namespace gyle
