#include "fermentation/arrival_share.h"

#include <catch2/catch.hpp>

#include "rehearsal/random.h"

using namespace gyle;

TEST_CASE("no message is missing when every one arrives") {
  const double interval = GENERATE(1.0 / 60, 0.25, 1.0);
  const double offset = GENERATE(-5.5, 0.0, 1000.3);
  CAPTURE(interval, offset);
  Random random(1);
  ArrivalShare arrival;
  for (double hour = 0; hour < 60; hour += interval * (1 + 0.05 * random.normal())) {
    arrival.heard(offset + hour);
  }
  REQUIRE(arrival.share(offset + 60));
  CHECK(*arrival.share(offset + 60) > 0.94);
  CHECK(*arrival.longest_gap_h(offset + 60) < 1.4 * interval);
}

TEST_CASE("the share of lost messages is right although they make the rhythm look slower") {
  const double lost = GENERATE(0.1, 0.3, 0.4);
  CAPTURE(lost);
  Random random(2);
  ArrivalShare arrival;
  int sent = 0, arrived = 0;
  for (double hour = 0; hour < 72; hour += 0.1) {
    if (hour >= 48) ++sent;
    if (random.chance(lost)) continue;
    arrival.heard(hour);
    if (hour >= 48) ++arrived;
  }
  CHECK(*arrival.share(72) == Approx(static_cast<double>(arrived) / sent).margin(0.05));
}

TEST_CASE("a gap is forgotten after a day, one that has not ended counts") {
  ArrivalShare arrival;
  for (double hour = 0; hour < 80; hour += 0.25) {
    if (hour > 20 && hour < 26) continue;
    arrival.heard(hour);
    if (hour == 40) CHECK(*arrival.longest_gap_h(hour) == Approx(6));
    if (hour == 40) CHECK(*arrival.share(hour) == Approx(0.75).margin(0.02));
  }
  CHECK(*arrival.longest_gap_h(79.75) == Approx(0.25));
  CHECK(*arrival.longest_gap_h(90) == Approx(10.25));
  CHECK(*arrival.share(90) == Approx(0.57).margin(0.03));  // 10.25 of at most 24 hours
  CHECK(*arrival.share(500) == 0);
}

TEST_CASE("duplicates, late messages and several quantities of one message count once") {
  ArrivalShare once, often;
  for (double hour = 0; hour < 20; hour += 0.25) {
    once.heard(hour);
    for (double more : {0.0, 0.001, -3.0, -0.25}) often.heard(hour + more);
  }
  CHECK(once.share(20) == often.share(20));
  CHECK(once.longest_gap_h(20) == often.longest_gap_h(20));
}

TEST_CASE("a few messages give no share") {
  ArrivalShare arrival;
  CHECK_FALSE(arrival.share(10));
  CHECK_FALSE(arrival.longest_gap_h(10));
  for (double hour : {0.0, 6.0, 12.0, 18.0, 24.0}) arrival.heard(hour);
  CHECK_FALSE(arrival.share(25));  // four a day
  CHECK(arrival.longest_gap_h(25) == 6.0);
}
