#include "calibration/paired_samples.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

Reading tilt(Duration at, double value, TimeQuality quality = TimeQuality::stamped) {
  return {Time(at), "float", Quantity::tilt, value, quality};
}
Reading sample(Duration at, double value) { return {Time(at), "hand:left", Quantity::sample, value}; }

}  // namespace

TEST_CASE("a sample goes with the middle of the tilts within an hour of it") {
  const std::vector<Reading> tilts{tilt(hours(8), 70),     tilt(hours(9), 41),
                                   tilt(minutes(570), 43), tilt(hours(10), 42),
                                   tilt(minutes(630), 44), tilt(hours(11), 45),
                                   tilt(minutes(661), 5),  tilt(minutes(605), 5, TimeQuality::backlog)};
  const auto paired = paired_samples(std::vector{sample(hours(10), 1.030)}, tilts);
  REQUIRE(paired.points.size() == 1);
  CHECK(paired.points[0].tilt == 43);  // of 41, 43, 42, 44, 45
  CHECK(paired.points[0].gravity.value() == 1.030);
  CHECK(paired.alone.empty());
}

TEST_CASE("a sample without a tilt near it makes no point, and other quantities are no tilts") {
  std::vector<Reading> readings{tilt(hours(8), 41)};
  readings.push_back({Time(hours(20)), "float", Quantity::beer_temperature, 18.5});
  const auto paired =
      paired_samples(std::vector{sample(hours(8), 1.048), sample(hours(20), 1.030)}, readings);
  REQUIRE(paired.points.size() == 1);
  REQUIRE(paired.alone.size() == 1);
  CHECK(paired.alone[0].time == Time(hours(20)));
}
