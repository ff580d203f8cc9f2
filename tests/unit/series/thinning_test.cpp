#include "series/thinning.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

using namespace gyle;

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

std::vector<std::size_t> thin(const std::vector<double>& time, const std::vector<std::vector<double>>& curves,
                              std::size_t at_most) {
  std::vector<std::span<const double>> views(curves.begin(), curves.end());
  return thinned(time, views, at_most);
}

// Two months, a reading a minute, each a little early or late: a noisy hydrometer, and the curve through it.
struct TwoMonths {
  std::vector<double> time;
  std::vector<double> raw;
  std::vector<double> curve;

  explicit TwoMonths(unsigned seed) {
    std::mt19937 random(seed);
    std::normal_distribution<double> noise(0, 0.0004);
    std::uniform_real_distribution<double> jitter(-20, 20);
    for (int i = 0; i < 86'400; ++i) {
      time.push_back(60.0 * i + jitter(random));
      curve.push_back(1.012 + 0.038 / (1 + std::exp((i - 5000) / 1200.0)));
      raw.push_back(curve.back() + noise(random));
    }
  }
};

}  // namespace

TEST_CASE("what is few enough is left as it is") {
  CHECK(thin({0, 1, 2}, {{5, 6, 7}}, 3) == std::vector<std::size_t>{0, 1, 2});
  CHECK(thin({}, {{}}, 100).empty());
  CHECK(thin({0, 1}, {{1, 2}}, 0).empty());
}

TEST_CASE("a lone spike is never lost, nor are the ends") {
  const unsigned seed = GENERATE(range(1U, 6U));
  CAPTURE(seed);
  TwoMonths data(seed);
  std::mt19937 random(seed);
  std::vector<std::size_t> spikes;
  for (int i = 0; i < 5; ++i) {
    spikes.push_back(std::uniform_int_distribution<std::size_t>(100, 86'000)(random));
    (i % 2 == 0 ? data.raw : data.curve)[spikes.back()] = i < 3 ? 1.2 : 0.9;
  }
  const auto at_most = GENERATE(std::size_t{50}, std::size_t{600}, std::size_t{2000});
  const auto kept = thin(data.time, {data.raw, data.curve}, at_most);
  CHECK(kept.size() <= at_most);
  CHECK(std::is_sorted(kept.begin(), kept.end()));
  CHECK(std::adjacent_find(kept.begin(), kept.end()) == kept.end());
  CHECK(kept.front() == 0);
  CHECK(kept.back() == data.time.size() - 1);
  if (at_most == 50) return;  // two spikes of one kind may share a column
  for (const std::size_t spike : spikes) {
    CAPTURE(spike);
    CHECK(std::binary_search(kept.begin(), kept.end(), spike));
  }
}

TEST_CASE("whatever was left out has a kept point above and one below it close by") {
  const TwoMonths data(7);
  const auto kept = thin(data.time, {data.raw, data.curve}, 2000);
  CHECK(kept.size() > 1500);  // no fewer than needed
  // Two extremes of two curves: at least (2000 - 2) / 4 columns.
  const double width = (data.time.back() - data.time.front()) / 499;
  int uncovered = 0;
  std::size_t first = 0;
  for (std::size_t i = 0; i < data.time.size(); ++i) {
    while (data.time[kept[first]] < data.time[i] - width) ++first;
    bool above = false;
    bool below = false;
    for (std::size_t k = first; k < kept.size() && data.time[kept[k]] <= data.time[i] + width; ++k) {
      above = above || data.raw[kept[k]] >= data.raw[i];
      below = below || data.raw[kept[k]] <= data.raw[i];
    }
    if (!above || !below) ++uncovered;
  }
  CHECK(uncovered == 0);
}

TEST_CASE("a gap stays a gap, and what is not known is not looked at") {
  std::vector<double> time;
  std::vector<double> value;
  for (int i = 0; i < 1000; ++i) {
    time.push_back(i < 500 ? i : i + 100'000);
    value.push_back(i % 3 == 0 ? kNone : i % 100);
  }
  const auto kept = thin(time, {value}, 100);
  CHECK(kept.size() <= 100);
  CHECK(kept.front() == 0);
  CHECK(kept.back() == 999);
  for (std::size_t i = 1; i + 1 < kept.size(); ++i) CHECK_FALSE(std::isnan(value[kept[i]]));
  // All columns but the outermost lie in the gap.
  CHECK(std::any_of(kept.begin(), kept.end(), [](std::size_t i) { return i < 500 && i > 0; }));
  CHECK(std::any_of(kept.begin(), kept.end(), [](std::size_t i) { return i >= 500 && i < 999; }));
}

TEST_CASE("many points at one moment are no trouble") {
  const std::vector<double> time(1000, 5.0);
  std::vector<double> value(1000, 1.0);
  value[321] = 2.0;
  const auto kept = thin(time, {value}, 50);
  CHECK(kept.size() <= 50);
  CHECK(std::binary_search(kept.begin(), kept.end(), std::size_t{321}));
}
