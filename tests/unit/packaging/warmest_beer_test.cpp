#include "packaging/warmest_beer.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

const Time kStart = parse_rfc3339("2026-03-10T00:00:00Z").value();

std::vector<UsedReading> every_quarter(std::initializer_list<double> hourly) {
  std::vector<UsedReading> all;
  for (const double celsius : hourly) {
    for (int i = 0; i < 4; ++i) {
      all.push_back(
          {kStart + minutes(15) * static_cast<int>(all.size()), Quantity::beer_temperature, celsius});
    }
  }
  return all;
}

}  // namespace

TEST_CASE("the warmest hour within the requested time counts") {
  const auto beer = every_quarter({23, 20, 21, 18, 24});
  CHECK(warmest_beer(beer, kStart + hours(1), kStart + hours(3)) == Celsius{21});
  CHECK(warmest_beer(beer, kStart, kStart + hours(9)) == Celsius{24});
  CHECK_FALSE(warmest_beer(beer, kStart + hours(9), kStart + hours(10)));
  CHECK_FALSE(warmest_beer({}, kStart, kStart + hours(1)));
}

TEST_CASE("one reading in the sun does not count") {
  auto beer = every_quarter({20, 20, 20});
  beer[5].value = 28;
  beer[9].value = std::numeric_limits<double>::quiet_NaN();
  CHECK(warmest_beer(beer, kStart, kStart + hours(3)) == Celsius{22});
}

TEST_CASE("gas is kept from the start of the stable window") {
  BatchSpec spec;
  BatchView view;
  const Time end = kStart + days(10);
  CHECK(gas_kept_since(spec, view, end) == end - hours(48));
  view.final_gravity_since = kStart + days(6);
  CHECK(gas_kept_since(spec, view, end) == kStart + days(4));
  spec.final_gravity.window = hours(24);
  CHECK(gas_kept_since(spec, view, end) == kStart + days(5));
}
