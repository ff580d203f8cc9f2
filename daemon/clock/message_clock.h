#pragma once

#include <atomic>

#include "base/clock.h"

namespace gyle {

// For rehearsals only: the time is the latest time stamp seen, so that weeks pass in a minute.
//   threads  observe() from one, now() from any.
class MessageClock final : public Clock {
 public:
  // The epoch until the first stamp.
  Time now() const override;

  // Moves on to `stamp`, never back; a leap of more than 60 days is a sensor's broken clock, not the time.
  void observe(Time stamp);

 private:
  std::atomic<Time::rep> now_ms_{0};
};

}  // namespace gyle
