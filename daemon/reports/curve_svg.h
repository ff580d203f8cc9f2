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

// What is drawn beside the curve: hand samples (SG at 20 degC) and ambient temperatures (degC), in order of time.
struct BesideCurve {
  std::span<const UsedReading> samples = {};
  std::span<const UsedReading> ambient = {};
};

// The batch as a picture for a message or on paper: an SVG 1.1 document of 600 by 400 units, at most 60 kB,
// without scripts and references. Above, gravity with its 80 % interval, the readings, the hand samples, the forecast to
// the final gravity (fermentation/forecast_path.h) and the marks; below, the beer's temperature, the holds of the plan and
// the range of the ambient temperature of each day, on the same time axis.
// Units and time zone as in `display`. `curve`: in order of time, any length; values that are not finite are
// left out. Long curves are thinned, and keep their extremes.
//   source  Scalable Vector Graphics 1.1 (Second Edition)
std::string curve_svg(const BatchSpec& batch, std::span<const CurvePoint> curve, const Forecast& forecast,
                      std::span<const CurveMark> marks, const DisplaySettings& display,
                      const BesideCurve& beside = {});

}  // namespace gyle
