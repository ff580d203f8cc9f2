#include "packaging/points_to_go.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("the points to go are counted to the forecast, or else to the expected attenuation of the yeast") {
  const SpecificGravity present = SpecificGravity::unchecked(1.015);
  BatchSpec spec;
  spec.yeast.attenuation_low = 0.70;
  spec.yeast.attenuation_high = 0.80;
  BatchView view;
  CHECK_FALSE(points_to_go(spec, view, present));
  view.original_gravity = 1.040;
  auto left = points_to_go(spec, view, present).value();
  CHECK(left.likely.value == Approx(5));  // 1.010 is 75 %
  CHECK(left.most.value == Approx(7));    // 1.008 is 80 %
  view.forecast.final_gravity = Interval{1.012, 1.011, 1.013};
  left = points_to_go(spec, view, present).value();
  CHECK(left.likely.value == Approx(3));
  CHECK(left.most.value == Approx(4));
  left = points_to_go(spec, view, SpecificGravity::unchecked(1.0105)).value();
  CHECK(left.likely.value == 0);
  CHECK(left.most.value == 0);
}

TEST_CASE("of a beer whose end is unknown all of its extract may still go") {
  BatchSpec spec;
  BatchView view;
  view.original_gravity = 1.040;
  view.forecast.end_unknown = true;
  const PointsToGo left = points_to_go(spec, view, SpecificGravity::unchecked(1.006)).value();
  CHECK(left.most.value > 14);
}

TEST_CASE("added sugar moves the expected end") {
  BatchSpec spec;
  spec.original_gravity = SpecificGravity::unchecked(1.040);
  spec.volume_l = 12;
  spec.additions = {{AdditionKind::sugar, Time{} + hours(1), 0.3, 0}};
  BatchView view;
  view.time = Time{} + hours(2);
  const BatchSpec now = described_at(spec, view.time);
  view.original_gravity = now.original_gravity->value();
  const double end = 1 + (*view.original_gravity - 1) * (1 - now.yeast.expected_attenuation());
  const PointsToGo left = points_to_go(spec, view, SpecificGravity::unchecked(1.020)).value();
  CHECK(left.likely.value == Approx(1000 * (1.020 - end)));
  CHECK(end < 1.010);
}
