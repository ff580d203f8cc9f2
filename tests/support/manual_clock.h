#pragma once

#include <atomic>

#include "base/clock.h"

namespace gyle::test {

// Shows the time that the test has set. Readable from any thread.
class ManualClock : public Clock {
 public:
  explicit ManualClock(Time start) : now_(start) {}
  Time now() const override { return now_; }
  void set(Time time) { now_ = time; }
  void advance(Duration d) { now_ = now() + d; }

 private:
  std::atomic<Time> now_;
};

}  // namespace gyle::test
