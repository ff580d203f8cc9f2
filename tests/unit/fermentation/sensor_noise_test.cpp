#include "fermentation/sensor_noise.h"

#include <catch2/catch.hpp>
#include <random>
#include <vector>

using namespace gyle;

namespace {

// Hourly means with an Ornstein-Uhlenbeck wander of that strength and memory.
std::vector<Residual> wandering(double sd, double memory_h, unsigned seed) {
  std::mt19937 bits(seed);
  std::normal_distribution<double> unit;
  std::vector<Residual> residuals;
  double wander = unit(bits);
  for (int hour = 0; hour < 120; ++hour) {
    const double kept = std::exp(-1 / memory_h);
    wander = kept * wander + std::sqrt(1 - kept * kept) * unit(bits);
    residuals.push_back({static_cast<double>(hour), sd * wander + 0.2 * unit(bits), 0.04, 0});
  }
  return residuals;
}

}  // namespace

TEST_CASE("the wander of a hydrometer is found, and so is its absence") {
  const unsigned seed = GENERATE(range(1u, 6u));
  CAPTURE(seed);
  const SensorNoise none = learnt_wander(wandering(0, 1, seed), 0.16);
  CHECK(std::sqrt(none.wander_var) < 0.16);
  const SensorNoise slow = learnt_wander(wandering(0.6, 6, seed), 0.16);
  CHECK(std::sqrt(slow.wander_var) > 0.33);
  CHECK(std::sqrt(slow.wander_var) < 0.95);
  CHECK(slow.wander_h > 2);
  const SensorNoise quick = learnt_wander(wandering(0.6, 0.8, seed), 0.16);
  CHECK(quick.wander_h < slow.wander_h);
  // What counts for a slope over days: far more of the slow one.
  const HourMean hour{0, 0, 0, 0, 4, 1, 0.04, 0, false};
  CHECK(none.of_hour(hour) < 0.2);
  CHECK(slow.of_hour(hour) > 4 * none.of_hour(hour));
}

TEST_CASE("one outlier hardly changes the wander") {
  auto residuals = wandering(0, 1, 3);
  residuals[60].points = 6;
  CHECK(std::sqrt(learnt_wander(residuals, 0.16).wander_var) < 0.25);
}
