#include "rehearsal/random.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

using namespace gyle;

namespace {

struct Moments {
  double mean = 0.0;
  double variance = 0.0;
  double fourth = 0.0;  // standardised
};

template <class Draw>
Moments moments_of(Draw draw, int n) {
  std::vector<double> values;
  for (int i = 0; i < n; ++i) values.push_back(draw());
  Moments m;
  for (double v : values) m.mean += v / n;
  for (double v : values) m.variance += (v - m.mean) * (v - m.mean) / n;
  for (double v : values) m.fourth += std::pow(v - m.mean, 4) / (m.variance * m.variance) / n;
  return m;
}

}  // namespace

// The C++ standard, [rand.predef]: the 10000th invocation of a default-constructed mt19937_64 gives
// 9981545732273789042.
TEST_CASE("the generator is the standard's mt19937_64") {
  Random random(std::mt19937_64::default_seed);
  for (int i = 1; i < 10000; ++i) random.uniform();
  CHECK(random.uniform() == (static_cast<double>(9981545732273789042ULL >> 11) + 0.5) / 9007199254740992.0);
}

// Moments of the textbook distributions; tolerances are five standard errors for 200000 draws.
TEST_CASE("draws have the moments of their distributions") {
  Random random(7);
  constexpr int kDraws = 200000;
  const Moments uniform = moments_of([&] { return random.uniform(); }, kDraws);
  CHECK(uniform.mean == Approx(0.5).margin(0.0033));
  CHECK(uniform.variance == Approx(1.0 / 12.0).margin(0.0009));
  const Moments normal = moments_of([&] { return random.normal(); }, kDraws);
  CHECK(normal.mean == Approx(0.0).margin(0.0112));
  CHECK(normal.variance == Approx(1.0).margin(0.0159));
  CHECK(normal.fourth == Approx(3.0).margin(0.11));
  const Moments exponential = moments_of([&] { return random.exponential(); }, kDraws);
  CHECK(exponential.mean == Approx(1.0).margin(0.0112));
  CHECK(exponential.variance == Approx(1.0).margin(0.032));
}

TEST_CASE("below() and chance() stay in range and cover it") {
  Random random(11);
  std::vector<int> seen(6, 0);
  for (int i = 0; i < 6000; ++i) seen.at(static_cast<std::size_t>(random.below(6)))++;
  for (int count : seen) CHECK(count == Approx(1000).margin(145));
  int hits = 0;
  for (int i = 0; i < 10000; ++i) hits += random.chance(0.1) ? 1 : 0;
  CHECK(hits == Approx(1000).margin(150));
  CHECK_FALSE(random.chance(0.0));
}
