#pragma once

#include "base/time.h"

namespace gyle {

// How long to wait before a delivery is tried again, after `failures` (1 or more) failed attempts: from 5 s,
// doubling to an hour, each cut by up to a third so that what failed together does not come back together.
// `random` is uniform in [0, 1).
Duration retry_pause(int failures, double random);

}  // namespace gyle
