#pragma once

#include "base/time.h"

namespace gyle {

// Pause before the next attempt after `failures` (1 or more) failed ones: 5 s, doubling up to an hour, each
// shortened by up to a third so that retries spread. `random` is uniform in [0, 1).
Duration retry_pause(int failures, double random);

}  // namespace gyle
