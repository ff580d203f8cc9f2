#include "web/attempts.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

constexpr Time kNow = Time(days(20000));

// How many tries are looked at when `peer` tries once a second for `length`.
int tried(Attempts& attempts, const std::string& peer, Time from, Duration length) {
  int count = 0;
  for (Time now = from; now < from + length; now += seconds(1)) {
    if (!attempts.allowed(peer, now)) continue;
    attempts.failed(peer, now);
    ++count;
  }
  return count;
}

}  // namespace

TEST_CASE("one address has five tries and one more each minute") {
  Attempts attempts;
  CHECK(tried(attempts, "a", kNow, hours(1)) == 5 + 59);
  CHECK(attempts.allowed("b", kNow + hours(1)));
}

TEST_CASE("all addresses together have thirty tries and one more in two seconds") {
  Attempts attempts;
  int count = 0;
  for (int i = 0; i < 10000; ++i) {
    const Time now = kNow + Duration(i * 10);  // a hundred a second, each from another address
    const std::string peer = "10.0.0." + std::to_string(i);
    if (!attempts.allowed(peer, now)) continue;
    attempts.failed(peer, now);
    ++count;
  }
  CHECK(count == 30 + 49);
}

TEST_CASE("what was tried is forgotten in time, and a clock set back gives nothing") {
  Attempts attempts;
  tried(attempts, "a", kNow, seconds(10));
  CHECK_FALSE(attempts.allowed("a", kNow - hours(1)));
  CHECK(tried(attempts, "a", kNow + hours(1), seconds(10)) == 5);
}
