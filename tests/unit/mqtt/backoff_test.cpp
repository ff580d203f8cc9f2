#include "mqtt/backoff.h"

#include <catch2/catch.hpp>

#include "mqtt/announcements.h"

using namespace gyle;

TEST_CASE("attempts become rarer, up to one a minute") {
  Backoff slowest;
  for (const int expected : {1, 2, 4, 8, 16, 32, 60, 60, 60})
    CHECK(slowest.after_failure(0.0) == seconds(expected));
  Backoff quickest;
  for (const int expected : {1, 2, 4, 8, 16, 32, 60, 60}) {
    const Duration wait = quickest.after_failure(0.999999);
    CHECK(wait >= Duration(seconds(expected)) / 2);
    CHECK(wait < Duration(seconds(expected)) / 2 + std::chrono::milliseconds(10));
  }
}

TEST_CASE("a connection that held begins anew, one that did not is a failure") {
  Backoff backoff;
  for (int i = 0; i < 5; ++i) backoff.after_failure(0.0);
  SECTION("held") { CHECK(backoff.after_loss(minutes(5), 0.0) == seconds(1)); }
  SECTION("did not hold") { CHECK(backoff.after_loss(seconds(3), 0.0) == seconds(32)); }
}

TEST_CASE("a reason is told once, until a connection is made or the reason changes") {
  Announcements announcements;
  CHECK(announcements.tell_refused("no broker"));
  CHECK_FALSE(announcements.tell_refused("no broker"));
  CHECK(announcements.tell_refused("wrong password"));
  CHECK_FALSE(announcements.tell_refused("wrong password"));
  announcements.connected();
  CHECK(announcements.tell_refused("wrong password"));
}
