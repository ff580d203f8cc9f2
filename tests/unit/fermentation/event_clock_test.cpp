#include "fermentation/event_clock.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Verdict = EventClock::Verdict;

namespace {

const Time kPitched{hours(24 * 20000)};
constexpr std::size_t kFloat = 0, kProbe = 1;

// A hydrometer and a probe that have spoken every quarter of an hour for a day.
EventClock running() {
  EventClock clock(kPitched);
  for (int i = 1; i <= 96; ++i) {
    clock.offer(kPitched + minutes(15 * i), kFloat);
    clock.offer(kPitched + minutes(15 * i), kProbe);
  }
  return clock;
}

}  // namespace

TEST_CASE("event time is the largest plausible time and never goes back") {
  EventClock clock = running();
  const Time now = clock.now();
  CHECK(now == kPitched + days(1));
  CHECK(clock.offer(now + minutes(20), kFloat) == Verdict::accepted);
  CHECK(clock.offer(now + minutes(5), kProbe) == Verdict::accepted);
  CHECK(clock.now() == now + minutes(20));
  CHECK(clock.offer(now - hours(5), kFloat) == Verdict::late);
  CHECK(clock.now() == now + minutes(20));
}

TEST_CASE("a clock that was reset does not move event time, for however long") {
  EventClock clock = running();
  const Time now = clock.now();
  const Duration off = GENERATE(values<Duration>({days(-20000), days(-30), days(5), days(40), days(27000)}));
  for (int i = 1; i <= 200; ++i) {
    CHECK(clock.offer(now + off + minutes(15 * i), kFloat) != Verdict::accepted);
    CHECK(clock.offer(now + minutes(15 * i), kProbe) == Verdict::accepted);
  }
  CHECK(clock.now() == now + minutes(15 * 200));
}

TEST_CASE("event time continues after an outage of all sensors") {
  EventClock clock = running();
  const Time later = clock.now() + days(4);
  clock.offer(later, kFloat);
  CHECK(clock.offer(later + minutes(1), kProbe) == Verdict::accepted);
  CHECK(clock.now() == later + minutes(1));
}

TEST_CASE("a hydrometer alone needs a second reading after an outage") {
  EventClock clock(kPitched);
  for (int i = 1; i <= 20; ++i) clock.offer(kPitched + minutes(15 * i), kFloat);
  const Time later = clock.now() + days(4);
  CHECK(clock.offer(later, kFloat) == Verdict::refused);
  CHECK(clock.offer(later + minutes(15), kFloat) == Verdict::accepted);
}

TEST_CASE("a sensor alone may have any rhythm from a minute to a day") {
  const Duration interval = GENERATE(values<Duration>({minutes(1), hours(4), hours(12), hours(24)}));
  EventClock clock(kPitched);
  for (int i = 1; i <= 10; ++i) {
    const Time time = kPitched + i * interval + (i % 2) * interval / 8;
    CHECK(clock.offer(time, kFloat) == Verdict::accepted);
    CHECK(clock.offer(time, kFloat) == Verdict::accepted);  // another quantity of the same message
  }
}

TEST_CASE("a slow sensor is held to a ticking clock") {
  EventClock clock(kPitched);
  for (int i = 1; i <= 8; ++i) {
    clock.tick(kPitched + i * hours(6));
    CHECK(clock.offer(kPitched + i * hours(6), kFloat) == Verdict::accepted);
  }
  clock.tick(kPitched + hours(54));
  CHECK(clock.offer(kPitched + hours(60), kFloat) == Verdict::refused);
}

TEST_CASE("the ends of time are refused without overflow") {
  EventClock clock = running();
  const Time now = clock.now();
  CHECK(clock.offer(Time::max(), kFloat) == Verdict::refused);
  CHECK(clock.offer(Time::min(), kFloat) == Verdict::refused);
  clock.tick(Time::max());
  clock.tick(Time::min());
  CHECK(clock.now() == now);
}
