#pragma once

#include <atomic>

#include "base/clock.h"

namespace gyle {

// For rehearsals only: the time is the latest time stamp seen, so that weeks pass in a minute.
//   threads  observe() from one, now() from any
//   tests    unit/clock/message_clock_test.cpp
class MessageClock final : public Clock {
 public:
  // The epoch until the first stamp.
  Time now() const override;

  // Advances to `stamp`, never back. A jump of more than 60 days is a wrong sensor clock and is ignored.
  void observe(Time stamp);

 private:
  std::atomic<Time::rep> now_ms_{0};
};

}  // namespace gyle
