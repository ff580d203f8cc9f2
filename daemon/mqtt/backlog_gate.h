#pragma once

#include <array>
#include <chrono>
#include <cstddef>
#include <deque>
#include <string>
#include <unordered_map>

namespace gyle {

// Distinguishes messages that have waited somewhere (their arrival says nothing about when they were sent)
// from live ones. MQTT does not mark them, so this is inferred from how they come:
//   queue    once the broker has resumed our session, or after the receiver itself was busy for more than
//            2 s, messages are a backlog until what waited has drained: until, for the last 2 s, the receiver
//            was idle for more than half of the time and fewer than 100 messages came
//   rhythm   on a topic whose usual interval (the median of the last 8, from 5 on) is known, a message that
//            follows its predecessor 20 times faster than usual, and within half a second, was held up
// What it cannot know: whether the first messages after the network has stalled were held up; that live
// messages mixed into a backlog are live; and a backlog that trickles in slower than 50 messages a second
// while the receiver is mostly idle looks live after 2 s. Bounded: remembers 100 messages and 1,000 topics.
// Times come from a monotonic clock.
class BacklogGate {
 public:
  using Instant = std::chrono::steady_clock::time_point;

  void connected(bool session_present, Instant now);
  bool is_backlog(const std::string& topic, Instant now);  // a message has arrived
  void finished(Instant now);                              // and has been dealt with

 private:
  struct Rhythm {
    Instant last;
    std::array<Instant::duration, 8> intervals{};
    std::size_t count = 0;
  };
  struct Span {
    Instant begin;
    Instant end;
  };

  bool drained(Instant now) const;
  bool out_of_rhythm(const std::string& topic, Instant now);

  bool open_ = false;  // a backlog is draining
  Instant opened_;
  Instant begun_;
  std::deque<Span> recent_;
  std::unordered_map<std::string, Rhythm> rhythms_;
};

}  // namespace gyle
