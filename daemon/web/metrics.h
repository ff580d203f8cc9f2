#pragma once

#include <string>

#include "control/cellar.h"
#include "web/process_figures.h"

namespace gyle {

constexpr const char* kMetricsType = "application/openmetrics-text; version=1.0.0; charset=utf-8";

// What the watch and its batches come to, for a monitoring system: readings, refusals by reason, how long ago
// the last message came, what waits and was refused on each channel; how many batches stand how; of each
// batch in a vessel gravity, temperature, attenuation and forecast; of each sensor when it was heard and its
// battery; and what the process uses. What is not known is absent.
//   source  OpenMetrics 1.0; the process_ family as the client libraries of its community name it
std::string metrics_text(const Cellar& cellar, const ProcessFigures& process);
// With the figures of this process.
std::string metrics_text(const Cellar& cellar);

}  // namespace gyle
