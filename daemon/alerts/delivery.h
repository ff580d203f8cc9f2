#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "alerts/channels/channel.h"
#include "base/clock.h"
#include "notices/quiet_hours.h"
#include "storage/outbox.h"
#include "wording/display.h"

namespace gyle {

// The event loop: `post` is called from any thread, `after` from the loop's.
struct Scheduling {
  std::function<void(std::function<void()>)> post;
  std::function<void(Duration, std::function<void()>)> after;
};

// A channel as Delivery uses it.
struct NamedChannel {
  std::string name;  // under which its deliveries wait in the outbox
  bool for_people;   // respects quiet hours and combines alerts
  std::unique_ptr<Channel> channel;
};

// Sends what waits in the outbox through the channels.
//   order     each channel has its own queue and sends one message at a time
//   failures  retried after growing pauses; refused messages are parked
//   storage   what cannot be stored is not sent, but for send_unstored()
//   stop      an interrupted message is sent again after the next start, unchanged
//   threads   the loop's
//   owner     must not outlive `database` and the clocks
//   tests     unit/alerts/delivery_test.cpp
class Delivery {
 public:
  struct Options {
    Calm calm;
    DisplaySettings display;
    // The curve of a batch as SVG, for channels that can show it; empty: none.
    std::function<std::string(std::int64_t batch)> picture;
  };

  // Retries use `clock`; quiet hours use `beer_clock`, as do the times of alerts.
  Delivery(Database& database, const Clock& clock, const Clock& beer_clock, Scheduling scheduling,
           std::function<double()> random, std::vector<NamedChannel> channels, Options options);
  ~Delivery();

  // Call when the outbox may have something new or due.
  void wake();

  // Past the outbox, for what cannot be stored there: on each of these channels once, tried again after the
  // usual pauses. `arrived` is called with the name of each channel that it arrived on. Kept in memory only; a
  // notice that has not arrived yet is replaced.
  void send_unstored(const Notice& notice, std::span<const std::string> channels,
                     std::function<void(const std::string& channel)> arrived);
  // What has not arrived is given up, for now it can be stored.
  void drop_unstored();

 private:
  struct Lane;
  // Shared with completions that arrive after the destructor.
  struct State;
  std::shared_ptr<State> state_;
};

}  // namespace gyle
