#include "calibration/paired_samples.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

Reading inclination(Duration at, double value, TimeQuality quality = TimeQuality::stamped) {
  return {Time(at), "hydrometer", Quantity::inclination, value, quality};
}
Reading sample(Duration at, double value) { return {Time(at), "hand:left", Quantity::sample, value}; }

}  // namespace

TEST_CASE("a sample is paired with the median inclination within an hour of it") {
  const std::vector<Reading> inclinations{
      inclination(hours(8), 70),     inclination(hours(9), 41),
      inclination(minutes(570), 43), inclination(hours(10), 42),
      inclination(minutes(630), 44), inclination(hours(11), 45),
      inclination(minutes(661), 5),  inclination(minutes(605), 5, TimeQuality::backlog)};
  const auto paired = paired_samples(std::vector{sample(hours(10), 1.030)}, inclinations);
  REQUIRE(paired.points.size() == 1);
  CHECK(paired.points[0].inclination == 43);  // of 41, 43, 42, 44, 45
  CHECK(paired.points[0].gravity.value() == 1.030);
  CHECK(paired.unpaired.empty());
}

TEST_CASE("a sample without an inclination near it gives no point, and other quantities do not count") {
  std::vector<Reading> readings{inclination(hours(8), 41)};
  readings.push_back({Time(hours(20)), "hydrometer", Quantity::beer_temperature, 18.5});
  const auto paired =
      paired_samples(std::vector{sample(hours(8), 1.048), sample(hours(20), 1.030)}, readings);
  REQUIRE(paired.points.size() == 1);
  REQUIRE(paired.unpaired.size() == 1);
  CHECK(paired.unpaired[0].time == Time(hours(20)));
}
