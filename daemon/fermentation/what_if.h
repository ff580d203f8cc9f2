#pragma once

#include <optional>

#include "fermentation/view.h"
#include "units/temperature.h"

namespace gyle {

// A hold that is not in the plan: from then on, or from now if that is later, the beer has this temperature.
struct HypotheticalHold {
  Celsius temperature;
  Time from;
};

// A question about a batch.
struct WhatIf {
  std::optional<HypotheticalHold> hold;  // absent: as planned
  std::optional<Time> ready_by;
};

// The answer. What cannot be estimated is absent: everything, of a batch whose gravity is outdated (view.h).
struct Outlook {
  Forecast forecast;
  // When it can be packaged, that is when final-gravity-stable will be raised: the final gravity reached, the
  // window of the batch over, and the time that the noise of its hydrometer requires.
  std::optional<TimeInterval> ready_time;
  std::optional<double> chance_ready;  // that it can be packaged by `ready_by`, 0 to 1
};

}  // namespace gyle
