#pragma once

#include "base/result.h"
#include "fermentation/batch.h"

namespace gyle {

// Whether a batch can be watched: a name, bounds in order and physically possible, conditions that can be
// met. Errc::out_of_range names the key of BATCH.toml and what is expected. The core sees only specs that
// have passed.
Status validate(const BatchSpec& batch);

}  // namespace gyle
