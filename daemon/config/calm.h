#pragma once

#include <string>

#include "clock/quiet_hours.h"
#include "fermentation/decision.h"

namespace gyle {

// When people are left alone.
struct Calm {
  QuietHours quiet;
  Severity urgent = Severity::critical;  // and worse: sent at any hour
};

}  // namespace gyle
