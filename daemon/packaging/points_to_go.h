#pragma once

#include <optional>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "units/gravity.h"

namespace gyle {

// Gravity that is still to ferment away; never negative.
struct PointsToGo {
  GravityPoints likely;
  GravityPoints most;  // by the 80 % interval of the final gravity
};

// How far a beer at `present` still has to ferment: to the forecast final gravity or, while there is none, to
// the attenuation expected of its yeast; where the end is unknown, at most all of its extract. Absent when not even the original gravity is known.
std::optional<PointsToGo> points_to_go(const BatchSpec& spec, const BatchView& view, SpecificGravity present);

}  // namespace gyle
