#include "fermentation/level_doubt.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a hydrometer that agrees with the original gravity is right to about half a point") {
  const LevelDoubt doubt(50.2, 0.2, 50.0, {});
  CHECK(doubt.mean() == Approx(0.1).margin(0.1));
  CHECK(doubt.sd() > 0.3);
  CHECK(doubt.sd() < 1.0);
  CHECK(doubt.quantile(0.1) < doubt.mean());
  CHECK(doubt.quantile(0.9) > doubt.mean());
}

TEST_CASE("a disagreement of several points is mostly an offset, less certain") {
  const LevelDoubt right(50.0, 0.2, 50.0, {});
  const LevelDoubt off(54.0, 0.2, 50.0, {});
  CHECK(off.mean() > 2.5);  // now and then it is the original gravity that was misread
  CHECK(off.mean() < 4.0);
  CHECK(off.interval().high - off.interval().low > right.interval().high - right.interval().low);
}

TEST_CASE("hand samples decide between an offset and a misread original gravity") {
  const SampleBeside agrees[] = {{30.0, 30.0}, {12.0, 12.2}};
  const SampleBeside differs[] = {{30.0, 26.9}, {12.0, 9.1}};
  CHECK(std::abs(LevelDoubt(53.0, 0.2, 50.0, agrees).mean()) < 0.7);
  CHECK(LevelDoubt(53.0, 0.2, 50.0, differs).mean() == Approx(2.9).margin(0.3));
  CHECK(LevelDoubt(53.0, 0.2, 50.0, differs).sd() < LevelDoubt(53.0, 0.2, 50.0, {}).sd());
}

TEST_CASE("without an original gravity there is only the prior") {
  const LevelDoubt doubt(50.0, 0.2, {}, {});
  CHECK(doubt.mean() == Approx(0).margin(1e-9));
  CHECK(doubt.sd() == Approx(1.33).margin(0.1));  // sqrt(0.7 x 0.5^2 + 0.3 x 2.3^2)
  CHECK(doubt.quantile(0.5) == Approx(0).margin(1e-6));
}

TEST_CASE("a hydrometer that joined late hardly shows the start") {
  const LevelDoubt late(46.0, 6.0, 50.0, {});
  CHECK(std::abs(late.mean()) < 0.5);
  CHECK(late.original() == Approx(50.0).margin(0.3));
  CHECK(LevelDoubt(51.6, 0.2, 50.0, {}).original() == Approx(50.5).margin(0.6));
}
