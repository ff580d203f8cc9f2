#include "mqtt/backlog_gate.h"

#include <catch2/catch.hpp>

using namespace gyle;
using namespace std::chrono_literals;

namespace {

// A receiver in made-up time: takes `work` for each message.
struct Receiver {
  BacklogGate gate;
  BacklogGate::Instant now{1000h};

  bool receive(const std::string& topic, BacklogGate::Instant::duration work = 5ms) {
    const bool backlog = gate.is_backlog(topic, now);
    now += work;
    gate.finished(now);
    return backlog;
  }
  void wait(BacklogGate::Instant::duration d) { now += d; }
  void live(const std::string& topic, int messages, BacklogGate::Instant::duration interval) {
    for (int i = 0; i < messages; ++i) {
      CAPTURE(topic, i);
      CHECK_FALSE(receive(topic));
      wait(interval);
    }
  }
};

}  // namespace

TEST_CASE("without a session there is no backlog") {
  Receiver r;
  r.gate.connected(false, r.now);
  r.live("probe", 20, 5s);
}

TEST_CASE("messages kept by the broker are a backlog until they have drained") {
  const auto work =
      GENERATE(values<BacklogGate::Instant::duration>({200us, 5ms, 30ms}));       // fast disk .. slow card
  const auto gap = GENERATE(values<BacklogGate::Instant::duration>({0ms, 2ms}));  // on the network
  CAPTURE(work.count(), gap.count());
  Receiver r;
  r.gate.connected(true, r.now);
  r.wait(50ms);
  int live = 0;
  const int messages = 2000;
  for (int i = 0; i < messages; ++i) {
    if (!r.receive(i % 3 == 0 ? "hydrometer" : "probe", work)) ++live;
    r.wait(gap);
  }
  CHECK(live == 0);
  // Then the sensors as usual: at most the first few seconds of it are taken for the backlog's end.
  r.wait(4s);
  r.live("hydrometer", 1, 1s);
  r.live("probe", 5, 10s);
}

TEST_CASE("a busy cellar is live again soon after a short interruption") {
  Receiver r;
  r.gate.connected(true, r.now);
  int backlog = 0;
  for (int i = 0; i < 200; ++i) {  // eight messages a second, for ever
    if (r.receive("probe-" + std::to_string(i % 40))) ++backlog;
    r.wait(120ms);
  }
  CHECK(backlog <= 2 * 8 + 1);
}

TEST_CASE("messages that waited while the receiver was blocked are a backlog") {
  Receiver r;
  r.gate.connected(false, r.now);
  r.live("probe", 10, 10s);
  r.receive("probe", 40s);  // the database was locked
  CHECK(r.receive("probe"));
  CHECK(r.receive("probe"));
  CHECK(r.receive("hydrometer"));
  r.wait(10s);
  r.live("probe", 5, 10s);
}

TEST_CASE("a burst on a topic with a known rhythm was held up") {
  Receiver r;
  r.gate.connected(false, r.now);
  r.live("hydrometer", 6, 15min);
  // Its gateway was without network for hours and now passes on what it kept.
  r.wait(5h);
  r.receive("hydrometer");  // cannot be distinguished from a late one
  for (int i = 0; i < 20; ++i) {
    CHECK(r.receive("hydrometer"));
    CHECK_FALSE(r.receive("probe-" + std::to_string(i)));  // others are not touched
    r.wait(5ms);
  }
  r.wait(15min);
  r.live("hydrometer", 5, 15min);
}

TEST_CASE("a sensor may come to publish more often") {
  Receiver r;
  r.gate.connected(false, r.now);
  r.live("hydrometer", 10, 15min);
  r.live("hydrometer", 50, 1s);
}

TEST_CASE("the rhythm is not learnt from a backlog") {
  Receiver r;
  r.gate.connected(true, r.now);
  for (int i = 0; i < 500; ++i) CHECK(r.receive("hydrometer"));
  r.wait(15min);
  r.live("hydrometer", 3, 15min);
}

TEST_CASE("any number of topics takes bounded memory") {
  Receiver r;
  r.gate.connected(false, r.now);
  for (int i = 0; i < 100'000; ++i) r.receive("topic-" + std::to_string(i), 0ms);
  r.wait(10s);
  CHECK_FALSE(r.receive("topic-1"));
}
