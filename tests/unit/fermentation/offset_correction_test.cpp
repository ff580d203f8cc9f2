#include "fermentation/offset_correction.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a curve is corrected by the present offset of the hydrometer") {
  const std::vector<CurvePoint> curve{{Time{}, 1.0500, {1.0498, 1.0494, 1.0502}, 18.0, 0.1, Stage::lag}};
  BatchView view;
  CHECK(without_offset(curve, view)[0].gravity.value == 1.0498);
  view.offset = PointsInterval{{2.0}, {1.5}, {2.5}};  // it reads two points high
  const auto corrected = without_offset(curve, view);
  CHECK(corrected[0].gravity_raw == Approx(1.0480).epsilon(1e-9));
  CHECK(corrected[0].gravity.value == Approx(1.0478).epsilon(1e-9));
  CHECK(corrected[0].gravity.low == Approx(1.0474).epsilon(1e-9));
  CHECK(corrected[0].gravity.high == Approx(1.0482).epsilon(1e-9));
  CHECK(corrected[0].temperature == 18.0);
}
