#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "alerts/channel.h"
#include "base/clock.h"
#include "storage/outbox.h"

namespace gyle {

// The loop that a delivery lives on: `post` from any thread, `after` from the loop's own.
struct Scheduling {
  std::function<void(std::function<void()>)> post;
  std::function<void(Duration, std::function<void()>)> after;
};

// Carries what waits in the outbox to the channels: each has its own queue, one delivery under way at a time,
// failed ones tried again after growing pauses. What a stop interrupts is tried again by the next start.
//   threads  the loop's
//   owner    must not outlive `database` and `clock`
class Delivery {
 public:
  Delivery(Database& database, const Clock& clock, Scheduling scheduling, std::function<double()> random,
           std::vector<std::unique_ptr<Channel>> channels);
  ~Delivery();

  // Something new may be in the outbox.
  void wake();

 private:
  struct Lane;
  // Shared with completions that may come after the end.
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace gyle
