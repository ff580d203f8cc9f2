#include "reports/curve_csv.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

TEST_CASE("the curve has the columns of the replay contract") {
  CHECK(curve_csv_header() ==
        "time,gravity_raw,gravity,gravity_low,gravity_high,temperature,attenuation,stage\r\n");
}

TEST_CASE("a point of the curve is one row") {
  CurvePoint point{parse_rfc3339("2026-03-02T06:00:00Z").value(),
                   1.0479,
                   {1.048012, 1.0475, 1.0485},
                   Celsius{18.0349},
                   0.0421,
                   Stage::active};
  CHECK(curve_csv_row(point) ==
        "2026-03-02T06:00:00Z,1.04790,1.04801,1.04750,1.04850,18.03,0.0421,active\r\n");
  point.temperature.reset();
  point.attenuation.reset();
  point.stage = Stage::lag;
  point.time += Duration(250);
  CHECK(curve_csv_row(point) == "2026-03-02T06:00:00.250Z,1.04790,1.04801,1.04750,1.04850,,,lag\r\n");
}
