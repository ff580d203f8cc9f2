#include "mqtt/backoff.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("attempts become rarer, up to one in ten seconds") {
  Backoff slowest;
  for (const int expected : {1, 2, 4, 8, 10, 10, 10}) CHECK(slowest.after_failure(0.0) == seconds(expected));
  Backoff quickest;
  for (const int expected : {1, 2, 4, 8, 10, 10}) {
    const Duration wait = quickest.after_failure(0.999999);
    CHECK(wait >= Duration(seconds(expected)) / 2);
    CHECK(wait < Duration(seconds(expected)) / 2 + std::chrono::milliseconds(10));
  }
}

TEST_CASE("a stable connection restarts the series, short ones lengthen it") {
  Backoff backoff;
  for (int i = 0; i < 5; ++i) backoff.after_failure(0.0);
  for (const int expected : {1, 2, 4, 8, 16, 32, 60, 60}) {
    CHECK(backoff.after_loss(seconds(3), 0.0) == seconds(expected));
  }
  CHECK(backoff.after_failure(0.0) == seconds(1));
  CHECK(backoff.after_loss(minutes(5), 0.0) == seconds(1));
  CHECK(backoff.after_loss(seconds(3), 0.0) == seconds(1));
}
