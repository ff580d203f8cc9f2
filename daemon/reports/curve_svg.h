#pragma once

#include <optional>
#include <span>
#include <string>

#include "fermentation/batch.h"
#include "fermentation/decision.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

// A decision as a mark on the curve; nothing for one that is about a sensor.
struct CurveMark {
  Time time;
  AlertKind kind;
  Decision::State state = Decision::State::raised;
  std::optional<int> step;
};

// The batch as a picture for a message or on paper: an SVG 1.1 document of 600 by 400 units, at most 60 kB,
// without scripts and references. Above, gravity with its 80 % interval, the readings, the forecast to the
// final gravity and the marks; below, the beer's temperature and the holds of the plan, on the same time axis.
// Units and time zone as in `display`. `curve`: in order of time, any length; values that are not finite are
// left out. Long curves are thinned, and keep their extremes.
//   source  Scalable Vector Graphics 1.1 (Second Edition)
std::string curve_svg(const BatchSpec& batch, std::span<const CurvePoint> curve, const Forecast& forecast,
                      std::span<const CurveMark> marks, const DisplaySettings& display);

}  // namespace gyle
