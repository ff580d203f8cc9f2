#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "base/result.h"

namespace gyle {

// What was given to be published at QoS 1 and is not answered yet: in order, a bounded number of it in flight.
// What a lost connection took with it returns to its place in the order and is sent again over the next.
//   pure     no thread, no network; whoever uses it from several threads locks
//   tests    unit/mqtt/publish_queue_test.cpp
class PublishQueue {
 public:
  static constexpr std::size_t kWaiting = 1000;
  static constexpr std::size_t kBrokerTakesAtOnce = 20;             // by default
  static constexpr std::size_t kInFlight = kBrokerTakesAtOnce - 2;  // a beat and the last message never wait
  using OnDone = std::function<void(Status)>;
  // Of one sending, never of two: so that a late word about one is not taken for the fate of the next.
  using Ticket = std::uintptr_t;

  struct Outgoing {
    Ticket ticket = 0;
    std::string topic;
    std::string payload;
    bool retained = false;
    int qos = 1;
  };
  struct Answer {
    OnDone on_done;
    Status status;
  };

  // False when as many wait as may; `on_done` is unchanged then.
  bool add(std::string topic, std::string payload, bool retained, OnDone& on_done);

  bool may_send() const { return !waiting_.empty() && in_flight_.size() < kInFlight; }
  bool none_in_flight() const { return in_flight_.empty(); }
  // The first that waits is in flight now. Only when may_send().
  Outgoing send(Ticket ticket);

  // What has become of it. An error worth retrying sends it again. Unknown tickets are ignored.
  void settle(Ticket ticket, const Status& status);
  // The broker has forgotten what was in flight.
  void send_all_again();
  // Nothing is sent any more: everything is answered with `error`.
  void close(const Error& error);

  // To be called back now, each once.
  std::vector<Answer> take_answers();

 private:
  struct Publication {
    std::string topic;
    std::string payload;
    bool retained;
    OnDone on_done;
    std::uint64_t turn;  // the order of add()
  };

  void wait_again(Publication publication);

  std::deque<Publication> waiting_;
  std::map<Ticket, Publication> in_flight_;
  std::vector<Answer> answers_;
  std::uint64_t turns_ = 0;
};

}  // namespace gyle
