#include "reports/forecasts_csv.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

TEST_CASE("forecasts have the columns of the replay contract") {
  CHECK(forecasts_csv_header() ==
        "time,final_gravity,final_gravity_low,final_gravity_high,final_time,final_time_low,final_time_high,"
        "step,step_time,step_time_low,step_time_high\r\n");
}

TEST_CASE("a forecast is one row, empty where no value is known") {
  Forecast forecast;
  forecast.time = parse_rfc3339("2026-03-02T00:30:00Z").value();
  CHECK(forecasts_csv_row(forecast) == "2026-03-02T00:30:00Z,,,,,,,,,,\r\n");

  const Time end = parse_rfc3339("2026-03-08T12:00:00Z").value();
  forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
  forecast.final_time = TimeInterval{end, end - days(1), end + days(1)};
  forecast.step = 1;
  CHECK(forecasts_csv_row(forecast) ==
        "2026-03-02T00:30:00Z,1.01150,1.01020,1.01310,"
        "2026-03-08T12:00:00Z,2026-03-07T12:00:00Z,2026-03-09T12:00:00Z,1,,,\r\n");
  forecast.step_time = TimeInterval{end, end, end};
  CHECK(forecasts_csv_row(forecast) ==
        "2026-03-02T00:30:00Z,1.01150,1.01020,1.01310,"
        "2026-03-08T12:00:00Z,2026-03-07T12:00:00Z,2026-03-09T12:00:00Z,"
        "1,2026-03-08T12:00:00Z,2026-03-08T12:00:00Z,2026-03-08T12:00:00Z\r\n");
}
