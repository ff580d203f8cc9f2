#include "ingest/clock_behind.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

const Time kNow{seconds(1'780'000'000)};  // 2026-05-28

ClockBehind::Look look(Time wall, Duration since_boot, bool synchronised = false) {
  return {wall, since_boot, synchronised};
}

}  // namespace

TEST_CASE("a message from ahead waits while it is our clock that is to be doubted") {
  struct Row {
    const char* name;
    Duration ahead;   // of the message
    Duration newest;  // received by the journal, against our clock
    Duration up;      // since boot
    bool synchronised;
    bool waits;
  };
  const auto row = GENERATE(values<Row>({
      {"just booted, three days behind", days(3), -minutes(1), seconds(20), false, true},
      {"just booted, an hour behind", hours(1), -minutes(1), seconds(20), false, true},
      {"just booted, the clock is set", days(3), -minutes(1), seconds(20), true, false},
      {"sensor and clock agree", minutes(4), -minutes(1), seconds(20), false, false},
      {"a backlog", -days(3), -days(3), seconds(20), false, false},
      {"long up: one sensor's clock", days(3), -minutes(1), days(3), false, false},
      {"long up, but earlier than the journal", days(3), days(3), days(3), false, true},
      {"earlier than the journal by what clocks differ", days(3), minutes(4), days(3), false, false},
      {"earlier than the journal, but set: the journal's clock was ahead", days(3), days(20), days(3), true,
       false},
      {"a sensor that says decades from now", days(9000), -minutes(1), seconds(20), false, false},
  }));
  CAPTURE(row.name);
  ClockBehind clock(kNow + row.newest);
  CHECK(clock.waits(kNow + row.ahead, look(kNow, row.up, row.synchronised)) == row.waits);
}

TEST_CASE("a clock that is earlier than this program is behind, also in an empty journal") {
  ClockBehind clock(std::nullopt);
  CHECK(clock.waits(kNow, look(Time{}, days(3))));
  CHECK(clock.waits(kNow, look(Time{seconds(1'600'000'000)}, days(3))));
  CHECK_FALSE(clock.waits(Time{seconds(1'600'000'000)}, look(Time{}, days(3))));  // nobody knows the time
}

TEST_CASE("once the clock is set the message is taken") {
  ClockBehind clock(kNow - days(3));
  const Time behind = kNow - days(3);
  for (int i = 0; i < 100; ++i) CHECK(clock.waits(kNow, look(behind + seconds(2 * i), seconds(30 + 2 * i))));
  CHECK_FALSE(clock.waits(kNow, look(kNow + minutes(4), seconds(231))));
}

TEST_CASE("one sensor with a broken clock stops nobody for ever") {
  SECTION("an hour after the machine's start") {
    ClockBehind clock(kNow - minutes(1));
    CHECK_FALSE(clock.doubted());
    CHECK(clock.waits(kNow + days(3), look(kNow + minutes(59), minutes(59))));
    CHECK(clock.doubted());
    CHECK_FALSE(clock.waits(kNow + days(3), look(kNow + minutes(60), minutes(60))));
    CHECK_FALSE(clock.doubted());  // now it is the sensor's that is doubted
  }
  SECTION("six hours after it began, where our clock is behind for certain") {
    ClockBehind clock(kNow + days(20));
    int waited = 0;
    for (; waited < 24 * 60 &&
           clock.waits(kNow + days(3), look(kNow + minutes(waited), days(1) + minutes(waited)));) {
      ++waited;
    }
    CHECK(waited == 6 * 60);
    CHECK(clock.doubted());
    CHECK_FALSE(clock.waits(kNow, look(kNow + hours(7), days(1) + hours(7))));  // another sensor's backlog
    CHECK(clock.doubted());
    // And is not waited for again, until the clock is set.
    CHECK_FALSE(clock.waits(kNow + days(4), look(kNow + hours(7), days(1) + hours(7))));
    CHECK(clock.waits(kNow + days(4), look(kNow + hours(2), days(1) + hours(7))));
    CHECK_FALSE(clock.waits(kNow + days(20), look(kNow + days(20), days(1) + hours(8))));
    CHECK_FALSE(clock.doubted());
  }
}
