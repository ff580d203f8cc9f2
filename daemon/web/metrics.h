#pragma once

#include <string>

#include "control/cellar.h"
#include "web/process_figures.h"

namespace gyle {

constexpr const char* kMetricsType = "application/openmetrics-text; version=1.0.0; charset=utf-8";

// Metrics for a monitoring system: readings, refusals by reason, the age of the last message, what waits and
// was refused on each channel; the number of batches in each stage; for each batch in a vessel gravity,
// temperature, attenuation and forecast; for each sensor when it was last heard and its battery; and what the
// process uses. A value that is not known is absent.
//   source  OpenMetrics 1.0; the process_ family as the client libraries of its community name it
std::string metrics_text(const Cellar& cellar, const ProcessFigures& process);
// With the figures of this process.
std::string metrics_text(const Cellar& cellar);

}  // namespace gyle
