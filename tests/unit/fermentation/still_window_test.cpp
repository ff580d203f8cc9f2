#include "fermentation/still_window.h"

#include <catch2/catch.hpp>
#include <random>

using namespace gyle;

namespace {

constexpr double kNowH = 200;

// Four readings an hour with white noise of `sd`, points.
GravityHistory readings(double fall_per_h, double sd, unsigned seed, double from_h = 100,
                        double to_h = kNowH) {
  std::mt19937 bits(seed);
  std::normal_distribution<double> noise(0, sd);
  GravityHistory history;
  for (double t = from_h; t <= to_h; t += 0.25) {
    const double points = 12 - fall_per_h * (t - kNowH) + noise(bits);
    history.add({t, t, points, 0, 1, 1, sd * sd, 0, false});
  }
  return history;
}

SensorNoise white(double sd) { return {sd * sd, 1e-4, 1}; }

}  // namespace

TEST_CASE("the fall over a window is found, and its error is honest") {
  const double per_h = GENERATE(0.0, 0.01, 0.05);
  constexpr int kBatches = 300;
  int held = 0;
  double mean = 0;
  for (unsigned seed = 1; seed <= kBatches; ++seed) {
    const auto window = still_window(readings(per_h, 0.6, seed), white(0.6), kNowH, 48, 0, 0);
    REQUIRE(window);
    mean += window->fall / kBatches;
    held += std::abs(window->fall - 48 * per_h) < 1.2816 * window->fall_se ? 1 : 0;
  }
  CAPTURE(per_h, held);
  CHECK(mean == Approx(48 * per_h).margin(0.05));
  // 80 %; the least autocorrelation that is assumed makes it a little more.
  CHECK(held >= 0.77 * kBatches);
  CHECK(held <= 0.94 * kBatches);
}

TEST_CASE("an hour that does not fit its neighbours changes nothing") {
  GravityHistory history = readings(0, 0.3, 1, 100, 180);
  for (int i = 0; i < 4; ++i) {
    const double t = 180.5 + 0.1 * i;
    history.add({t, t, 30, 0, 1, 1, 0.09, 0, false});
  }
  for (double t = 182; t <= kNowH; t += 0.25) history.add({t, t, 12, 0, 1, 1, 0.09, 0, false});
  const auto window = still_window(history, white(0.3), kNowH, 48, 0, 0);
  REQUIRE(window);
  CHECK(std::abs(window->fall) < 0.4);
  CHECK(window->level == Approx(12).margin(0.15));
}

TEST_CASE("a fall that has just begun shows in the last hours") {
  GravityHistory history = readings(0, 0.2, 2, 100, 194);
  for (double t = 194.25; t <= kNowH; t += 0.25) {
    history.add({t, t, 12 - 0.4 * (t - 194), 0, 1, 1, 0.04, 0, false});
  }
  const auto window = still_window(history, white(0.2), kNowH, 48, 0, 0);
  REQUIRE(window);
  CHECK(window->recent > 5 * window->recent_se);
}

TEST_CASE("a window that is not covered gives nothing") {
  CHECK_FALSE(still_window(readings(0, 0.3, 1, 180), white(0.3), kNowH, 48, 0, 0));       // begins too late
  CHECK_FALSE(still_window(readings(0, 0.3, 1, 100, 190), white(0.3), kNowH, 48, 0, 0));  // nothing lately
  GravityHistory pinned = readings(0, 0.3, 1);
  pinned.suspect(100, kNowH);
  CHECK_FALSE(still_window(pinned, white(0.3), kNowH, 48, 0, 0));
}

TEST_CASE("a doubtful bias with temperature widens the error of a fall while the beer warms") {
  GravityHistory history;
  for (double t = 100; t <= kNowH; t += 0.5) {
    history.add({t, t, 12, 0.05 * (t - 150), 1, 1, 0.04, 0, false});
  }
  const auto sure = still_window(history, white(0.2), kNowH, 48, 0, 0);
  const auto doubtful = still_window(history, white(0.2), kNowH, 48, 0, 0.1);
  REQUIRE((sure && doubtful));
  // 0.05 K an hour, 0.1 points a kelvin, 48 hours.
  CHECK(doubtful->fall_se == Approx(std::hypot(sure->fall_se, 0.24)).epsilon(0.02));
}
