#include "alerts/retry_pause.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("pauses between attempts double up to an hour") {
  CHECK(retry_pause(1, 0) == seconds(5));
  CHECK(retry_pause(2, 0) == seconds(10));
  CHECK(retry_pause(5, 0) == seconds(80));
  CHECK(retry_pause(11, 0) == hours(1));
  CHECK(retry_pause(1'000'000, 0) == hours(1));
}

TEST_CASE("pauses are shortened at random by up to a third") {
  const double random = GENERATE(0.0, 0.25, 0.5, 0.999);
  const Duration pause = retry_pause(8, random);
  CHECK(pause <= seconds(640));
  CHECK(pause >= seconds(426));
}
