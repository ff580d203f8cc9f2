#include "wording/sample_lines.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Lines = std::vector<std::string>;

TEST_CASE("a sample shows its gravity and what it changed") {
  BatchView before;
  before.gravity = Interval{1.0151, 1.0143, 1.0159};
  before.offset = PointsInterval{{0.5}, {-0.3}, {1.3}};
  BatchView after;
  after.gravity = Interval{1.0128, 1.0123, 1.0133};
  after.offset = PointsInterval{{-2.8}, {-3.3}, {-2.3}};
  CHECK(
      sample_lines(SpecificGravity::unchecked(1.0121), before, after, {}) ==
      Lines{
          "The sample is 1.0121 at 20 °C.",
          "Estimated gravity: 1.0151 (between 1.0143 and 1.0159) before, 1.0128 (between 1.0123 and 1.0133) "
          "now.",
          "The hydrometer was taken to read 0.5 points too high ± 0.8 points, and now 2.8 points too low ± "
          "0.5 "
          "points."});
}

TEST_CASE("a sample before the first reading is kept") {
  CHECK(sample_lines(SpecificGravity::unchecked(1.05), {}, {}, {}).size() == 2);
}
