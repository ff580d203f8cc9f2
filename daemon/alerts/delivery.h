#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "alerts/channel.h"
#include "base/clock.h"
#include "config/calm.h"
#include "storage/outbox.h"
#include "wording/display.h"

namespace gyle {

// The loop that a delivery lives on: `post` from any thread, `after` from the loop's own.
struct Scheduling {
  std::function<void(std::function<void()>)> post;
  std::function<void(Duration, std::function<void()>)> after;
};

// A channel with what Delivery must know of it.
struct Line {
  std::string name;  // under which its deliveries wait in the outbox
  bool for_people;   // who are spared at night, and told several things in one message
  std::unique_ptr<Channel> channel;
};

// Carries what waits in the outbox to the channels: each has its own queue, one message under way at a time,
// failed ones tried again after growing pauses, refused ones parked. What a stop interrupts is tried again by
// the next start, as the same message.
//   threads  the loop's
//   owner    must not outlive `database` and the clocks
class Delivery {
 public:
  struct Options {
    Calm calm;
    DisplaySettings display;
    // The curve of a batch as a picture, for channels that can show one; empty: none.
    std::function<std::string(std::int64_t batch)> picture;
  };

  // Retries go by `clock`, quiet hours by `beer_clock`, which alerts are stamped with.
  Delivery(Database& database, const Clock& clock, const Clock& beer_clock, Scheduling scheduling,
           std::function<double()> random, std::vector<Line> lines, Options manner);
  ~Delivery();

  // Something new may be in the outbox, or may have become due.
  void wake();

 private:
  struct Lane;
  // Shared with completions that may come after the end.
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace gyle
