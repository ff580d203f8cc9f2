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
