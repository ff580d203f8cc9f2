#include "clock/message_clock.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

TEST_CASE("the message clock follows the newest time stamp and never goes back") {
  MessageClock clock;
  CHECK(clock.now() == Time{});
  const Time first = parse_rfc3339("2026-03-01T18:30:00Z").value();
  clock.observe(first);
  CHECK(clock.now() == first);
  clock.observe(first - hours(3));
  CHECK(clock.now() == first);
  clock.observe(first + days(5));
  CHECK(clock.now() == first + days(5));
}

TEST_CASE("a jump of more than 60 days is ignored") {
  MessageClock clock;
  const Time first = parse_rfc3339("2026-03-01T18:30:00Z").value();
  clock.observe(first);
  clock.observe(first + days(61));
  CHECK(clock.now() == first);
  clock.observe(first + days(60));
  CHECK(clock.now() == first + days(60));
}
