#include "clock/system_clock.h"

namespace gyle {

Time SystemClock::now() const {
  return std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
}

}  // namespace gyle
