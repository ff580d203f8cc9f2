#include "fermentation/stamp_watch.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a wrong clock is off by the same each time") {
  const double by_h = GENERATE(-24 * 9000.0, -5.0, 4.0, 7200.0);
  StampWatch stamps;
  for (int i = 0; i < 4; ++i) {
    CHECK_FALSE(stamps.off_by_h());
    stamps.off(10 + 0.25 * i, by_h + 0.1 * (i % 2));
  }
  CHECK_FALSE(stamps.off_by_h());  // not yet for an hour
  stamps.off(11, by_h);
  CHECK(stamps.off_by_h() == by_h);
  stamps.good();
  CHECK_FALSE(stamps.off_by_h());
}

TEST_CASE("kept readings are late, but their clock is right") {
  StampWatch stamps;
  for (int i = 0; i < 40; ++i) stamps.off(100 + 0.03 * i, -12 + 0.25 * i);
  CHECK_FALSE(stamps.off_by_h());
}
