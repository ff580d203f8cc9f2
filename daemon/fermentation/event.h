#pragma once

#include <variant>

#include "base/time.h"
#include "series/reading.h"

namespace gyle {

// The clock has reached `time` and nothing else happened.
struct Tick {
  Time time;
};

// The brewer reports that the batch has left the vessel.
struct Packaged {
  Time time;
};

// All that the judgement learns, in the order of delivery. A hand sample is a Reading of Quantity::sample.
using Event = std::variant<Reading, Tick, Packaged>;

}  // namespace gyle
