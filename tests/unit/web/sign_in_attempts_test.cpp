#include "web/sign_in_attempts.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

constexpr Time kNow = Time(days(20000));

// How many tries are answered when `peer` tries once a second for `length`.
int tried(SignInAttempts& attempts, const std::string& peer, Time from, Duration length) {
  int count = 0;
  for (Time now = from; now < from + length; now += seconds(1)) {
    count += attempts.failed(peer, now) ? 1 : 0;
  }
  return count;
}

}  // namespace

TEST_CASE("one address has five tries and one more each minute") {
  SignInAttempts attempts;
  CHECK(tried(attempts, "a", kNow, hours(1)) == 5 + 59);
  CHECK(attempts.failed("b", kNow + hours(1)));
}

TEST_CASE("other addresses take no try from one, and the address that tries most is remembered") {
  SignInAttempts attempts;
  CHECK(tried(attempts, "a", kNow, seconds(10)) == 5);
  for (int i = 0; i < 10'000; ++i) {
    CHECK(attempts.failed("10.0.0." + std::to_string(i), kNow + seconds(10)));
  }
  CHECK(attempts.failed("b", kNow + seconds(11)));
  CHECK_FALSE(attempts.failed("a", kNow + seconds(11)));
}

TEST_CASE("tries expire in time, and a clock that is set back gives no new ones") {
  SignInAttempts attempts;
  tried(attempts, "a", kNow, seconds(10));
  CHECK_FALSE(attempts.failed("a", kNow - hours(1)));
  CHECK(tried(attempts, "a", kNow + hours(1), seconds(10)) == 5);
}
