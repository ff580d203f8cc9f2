#include "fermentation/put_right.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a curve is put right by what is known of the float now") {
  const std::vector<CurvePoint> curve{{Time{}, 1.0500, {1.0498, 1.0494, 1.0502}, 18.0, 0.1, Stage::lag}};
  BatchView view;
  CHECK(put_right(curve, view)[0].gravity.value == 1.0498);
  view.float_offset = Interval{2.0, 1.5, 2.5};  // it reads two points high
  const auto right = put_right(curve, view);
  CHECK(right[0].gravity_raw == Approx(1.0480).epsilon(1e-9));
  CHECK(right[0].gravity.value == Approx(1.0478).epsilon(1e-9));
  CHECK(right[0].gravity.low == Approx(1.0474).epsilon(1e-9));
  CHECK(right[0].gravity.high == Approx(1.0482).epsilon(1e-9));
  CHECK(right[0].temperature == 18.0);
}
