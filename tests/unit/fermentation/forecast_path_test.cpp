#include "fermentation/forecast_path.h"

#include <catch2/catch.hpp>
#include <cmath>

using namespace gyle;

namespace {

constexpr double kDay = 86400;
constexpr Time kNow{};

Time after(double s) { return kNow + from_hours(s / 3600); }
double seconds_on(Time time) { return in_seconds(time - kNow); }

Forecast forecast(double value, double low, double high) {
  Forecast forecast{};
  forecast.final_gravity = Interval{1.012, 1.010, 1.014};
  forecast.final_time = TimeInterval{after(value), after(low), after(high)};
  return forecast;
}

double at(const std::vector<PathPoint>& path, double time, double Interval::*part) {
  for (std::size_t i = 1; i < path.size(); ++i) {
    if (seconds_on(path[i].time) < time) continue;
    const double share = (time - seconds_on(path[i - 1].time)) / in_seconds(path[i].time - path[i - 1].time);
    return path[i - 1].gravity.*part + share * (path[i].gravity.*part - path[i - 1].gravity.*part);
  }
  return std::nan("");
}

}  // namespace

TEST_CASE("the drawn way begins at the gravity now and is within half a point of its end at its time") {
  const auto stage = GENERATE(Stage::lag, Stage::active);
  const Interval now{1.030, 1.0294, 1.0306};
  const auto path = forecast_path(now, kNow, stage, forecast(4 * kDay, 3 * kDay, 6 * kDay));
  REQUIRE(path.size() == kPathPoints);
  CHECK(path.front().time == kNow);
  CHECK(path.front().gravity.value == Approx(now.value).epsilon(1e-9));
  CHECK(path.back().time == after(6.5 * kDay));
  CHECK(at(path, 4 * kDay, &Interval::value) == Approx(1.0125).margin(0.0001));
  CHECK(at(path, 3 * kDay, &Interval::low) == Approx(1.0105).margin(0.0001));
  CHECK(at(path, 6 * kDay, &Interval::high) == Approx(1.0145).margin(0.0001));
  for (std::size_t i = 1; i < path.size(); ++i) {
    REQUIRE(path[i].gravity.value < path[i - 1].gravity.value);
    REQUIRE(path[i].gravity.low <= path[i].gravity.value);
    REQUIRE(path[i].gravity.value <= path[i].gravity.high);
  }
  // A batch in its lag has not fallen far after an eighth of the time; another has.
  const double gone = now.value - at(path, kDay / 2, &Interval::value);
  CHECK((stage == Stage::lag ? gone < 0.002 : gone > 0.004));
}

TEST_CASE("without a forecast, or when its time has passed, there is no way to draw") {
  const Interval now{1.030, 1.0294, 1.0306};
  CHECK(forecast_path(now, kNow, Stage::active, Forecast{}).empty());
  CHECK(forecast_path(now, after(5 * kDay), Stage::active, forecast(4 * kDay, 3 * kDay, 6 * kDay)).empty());
  Forecast only_time = forecast(4 * kDay, 3 * kDay, 6 * kDay);
  only_time.final_gravity.reset();
  CHECK(forecast_path(now, kNow, Stage::active, only_time).empty());
  // An end that nobody knows is drawn no farther than a month.
  const auto far = forecast_path(now, kNow, Stage::active, forecast(4 * kDay, 3 * kDay, 9999 * kDay));
  REQUIRE(!far.empty());
  CHECK(far.back().time == after(30 * kDay));
}
