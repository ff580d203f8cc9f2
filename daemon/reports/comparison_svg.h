#pragma once

#include <optional>
#include <span>
#include <string>

#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

struct ComparedBatch {
  std::string name;
  Time pitched;
  std::span<const CurvePoint> curve;  // in order of time
  std::optional<Time> started = {};   // when it had begun to ferment
  Forecast forecast = {};
};
// What counts as day 0 of each batch.
enum class Alignment { pitch, start };
constexpr std::size_t kMostCompared = 6;

// Several batches in one picture, each from its own pitch, or from the start of its fermentation (a batch that
// has not started: from its pitch): an SVG 1.1 document of 600 by 400 units without scripts and references.
// Above, the estimates of gravity and, dashed, the forecasts (fermentation/forecast_path.h); below, the temperatures of the
// beers. Lines differ in colour, and each has its number at its end. The first kMostCompared are drawn; long curves are thinned. Values that are not
// finite are left out.
//   source  Scalable Vector Graphics 1.1 (Second Edition)
std::string comparison_svg(std::span<const ComparedBatch> batches, const DisplaySettings& display,
                           Alignment align = Alignment::pitch);

}  // namespace gyle
