#pragma once

#include "base/clock.h"

namespace gyle {

// The machine's clock.
class SystemClock final : public Clock {
 public:
  Time now() const override;
};

}  // namespace gyle
