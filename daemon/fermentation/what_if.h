#pragma once

#include <optional>

#include "fermentation/view.h"
#include "units/temperature.h"

namespace gyle {

// A hold that the plan does not have: from then on, or from now when that is later, the beer is this warm.
struct HypotheticalHold {
  Celsius temperature;
  Time from;
};

// What a brewer may ask about a batch before doing anything.
struct WhatIf {
  std::optional<HypotheticalHold> hold;  // absent: the plan is followed
  std::optional<Time> ready_by;
};

// The answer. Absent is what cannot be said honestly: of a batch whose gravity is old (view.h), everything.
struct Outlook {
  Forecast forecast;
  // When it can be packaged, that is when final-gravity-stable will be said: the final gravity reached, the
  // window of the batch over, and the time that a float of its noise needs to be sure; seconds since the
  // epoch.
  std::optional<Interval> ready_time;
  std::optional<double> chance_ready;  // that it can be packaged by the time asked for, 0 to 1
};

}  // namespace gyle
