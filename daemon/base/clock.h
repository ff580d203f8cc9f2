#pragma once

#include "base/time.h"

namespace gyle {

// The shell's only source of "now". Implementations: the system's clock (clock/system_clock), one that
// follows the time stamps of messages for rehearsals, one that tests set by hand.
class Clock {
 public:
  virtual ~Clock() = default;
  virtual Time now() const = 0;
};

}  // namespace gyle
