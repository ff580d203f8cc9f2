#include "fermentation/tail_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <random>

using namespace gyle;

namespace {

// Hourly means of a hydrometer with little noise.
std::vector<HourMean> hours_of(const std::function<double(double)>& points, double to_h, unsigned seed) {
  std::mt19937 bits(seed);
  std::normal_distribution<double> noise(0, 0.1);
  std::vector<HourMean> hours;
  for (double t = 0; t < to_h; ++t) hours.push_back({t, t, points(t) + noise(bits), 0, 4, 1, 0.04, 0, false});
  return hours;
}

TailFit tail_of(const std::function<double(double)>& points, double to_h, unsigned seed) {
  return *TailFit::of(hours_of(points, to_h, seed), to_h, 1.0, 0.1, SensorNoise{0.04, 0.002, 3}, 0, 0.02);
}

// That a slow part (a creep) is there.
double slow_chance(const TailFit& tail) {
  double chance = 0;
  for (const TailFit::Ending& ending : tail.endings()) chance += ending.creep ? ending.weight : 0.0;
  return chance;
}

}  // namespace

TEST_CASE("nothing is left after the end of a fall") {
  const unsigned seed = GENERATE(range(1u, 6u));
  const auto tail = tail_of([](double t) { return 10 + 30 * std::exp(-t / 15); }, 150, seed);
  CAPTURE(seed);
  CHECK(tail.chance_left_above(1) < 0.15);
  CHECK(tail.chance_left_above(2) < 0.05);
  CHECK(tail.left() < 0.5);
}

TEST_CASE("a steady creep is no end although it hardly moves in two days") {
  const unsigned seed = GENERATE(range(1u, 6u));
  // 0.3 points a day: well below a tolerance of one point in 48 h, and six points to go.
  const auto tail =
      tail_of([](double t) { return 10 + 30 * std::exp(-t / 15) + 6 * std::exp(-t / 480); }, 200, seed);
  CAPTURE(seed);
  CHECK(tail.chance_left_above(2) > 0.5);
  CHECK(slow_chance(tail) > 0.9);
}

TEST_CASE("half way down there is more to come") {
  const auto tail = tail_of([](double t) { return 10 + 30 * std::exp(-t / 40); }, 80, 1);
  CHECK(tail.chance_left_above(1) > 0.9);  // four points are left
}

TEST_CASE("a few hours are not enough") {
  CHECK_FALSE(TailFit::of(hours_of([](double) { return 10.0; }, 8, 1), 8, 1.0, 0.1,
                          SensorNoise{0.04, 0.002, 3}, 0, 0.02)
                  .has_value());
}
