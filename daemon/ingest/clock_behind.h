#pragma once

#include <optional>

#include "base/time.h"

namespace gyle {

// Whether a message has to wait, because its time is later than our clock and our clock may be wrong: a small
// computer without a battery keeps no time while it is off, and its clock may be set from the network only
// after the broker has begun to deliver. Readings of that time would be refused as coming from the future, or
// get wrong times.
//
// It is our clock that is doubted when it is earlier than this program, or than what the journal received
// last, or when the machine has run for less than an hour and the system does not report its clock as set.
// Otherwise the sensor's clock is doubted. So that one sensor with a broken clock cannot stop everything for
// ever, waiting ends after that hour or, where our clock is certainly behind, after kLongestWait; then our
// clock is believed as it is until it is set. Pure.
class ClockBehind {
 public:
  static constexpr Duration kAfterBoot = hours(1);
  static constexpr Duration kLongestWait = hours(6);

  struct Look {
    Time wall;
    Duration since_boot;        // never set
    bool synchronised = false;  // the system says that its clock has been set from the network
  };

  // `newest_received`: when the journal received its last row.
  explicit ClockBehind(std::optional<Time> newest_received) : newest_received_(newest_received) {}

  // Whether a message with the time `stamp` has to wait; to be asked again for the same message.
  bool waits(Time stamp, const Look& now);

  // Messages wait, or are taken although our clock is certainly behind. As of the last call of waits().
  bool doubted() const { return doubted_; }

 private:
  bool certainly_behind(Time wall) const;

  std::optional<Time> newest_received_;
  std::optional<Duration> waiting_since_;  // since boot
  std::optional<Duration> believed_;       // wall minus since_boot when waiting was given up
  bool doubted_ = false;
};

}  // namespace gyle
