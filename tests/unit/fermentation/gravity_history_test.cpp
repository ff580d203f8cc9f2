#include "fermentation/gravity_history.h"

#include <catch2/catch.hpp>
#include <numeric>

using namespace gyle;

namespace {

HourMean reading(double time_h, double points) { return {time_h, time_h, points, 0, 1, 1, 0.1, 0, false}; }

}  // namespace

TEST_CASE("readings of an hour become their mean") {
  GravityHistory history;
  for (const double points : {20.0, 21.0, 25.0}) history.add(reading(3.1 + points / 100, points));
  history.add(reading(4.2, 30));
  REQUIRE(history.hours().size() == 2);
  CHECK(history.hours()[0].points == Approx(22));
  CHECK(history.hours()[0].readings == 3);
  CHECK(history.hours()[1].span_h == Approx(1));
}

TEST_CASE("a history is bounded, and merging keeps means, counts and spans") {
  GravityHistory history;
  constexpr int kHours = 5000;
  double sum = 0;
  for (int hour = 0; hour < kHours; ++hour) {
    const double points = 50 - 0.005 * hour;
    sum += points;
    history.add(reading(hour + 0.5, points));
  }
  const auto& hours = history.hours();
  CHECK(hours.size() <= GravityHistory::kMost);
  const auto total = [&](auto value) {
    return std::accumulate(hours.begin(), hours.end(), 0.0,
                           [&](double so_far, const HourMean& hour) { return so_far + value(hour); });
  };
  CHECK(total([](const HourMean& hour) { return hour.readings; }) == Approx(kHours));
  CHECK(total([](const HourMean& hour) { return hour.span_h; }) == Approx(kHours));
  CHECK(total([](const HourMean& hour) { return hour.readings * hour.points; }) == Approx(sum));
  CHECK(std::is_sorted(hours.begin(), hours.end(),
                       [](const HourMean& a, const HourMean& b) { return a.time_h < b.time_h; }));
}

TEST_CASE("suspect hours are left out of a fit, and may be trusted again") {
  GravityHistory history;
  for (int hour = 0; hour < 40; ++hour) history.add(reading(hour + 0.5, hour < 20 ? 20 : 27));
  history.suspect(20, 40);
  for (const HourMean& one : condensed(history.hours(), 40)) CHECK(one.points == 20);
  history.trust(30);
  CHECK(condensed(history.hours(), 40).back().points == 27);
  history.change(20, 0.5, 3);
  CHECK(history.hours().front().points == 13);
  CHECK(history.hours().back().points == 27);
}
