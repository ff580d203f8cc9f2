#include "fermentation/hindsight.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

using namespace gyle;

namespace {

const Time kStart{days(20000)};

// A fermentation of which the truth is known, one reading every `every_min` minutes; the estimate lags by four hours and
// the hydrometer reads `off` too high.
struct Made {
  std::vector<CurvePoint> curve;
  std::vector<double> truth;
};
Made made(unsigned seed, int every_min, double days_long, double off) {
  std::mt19937 random(seed);
  std::normal_distribution<double> noise(0, 0.0006);
  const auto truth = [](double day) { return 1.011 + 0.039 / (1 + std::exp(2.2 * (day - 2))); };
  Made made;
  for (int i = 0; i * every_min < days_long * 24 * 60; ++i) {
    const double day = i * every_min / 1440.0;
    const double late = truth(day - 4.0 / 24) + off;
    const bool wild = random() % 25 == 0;
    made.truth.push_back(truth(day));
    made.curve.push_back({kStart + minutes(i * every_min),
                          truth(day) + off + noise(random) + (wild ? 0.05 : 0),
                          {late, late - 0.0005, late + 0.0005},
                          Celsius{18.0},
                          0.1,
                          Stage::active});
  }
  return made;
}

BatchView view_of(const Made& made, double off) {
  BatchView view;
  const double last = made.truth.back();
  view.gravity = Interval{last, last - 0.0008, last + 0.0008};
  if (off != 0)
    view.offset = PointsInterval{GravityPoints{1000 * off}, GravityPoints{1000 * off - 0.7},
                                 GravityPoints{1000 * off + 0.7}};
  return view;
}

}  // namespace

TEST_CASE("looked at from now a curve is nearer to the truth than it was then, and its interval holds it") {
  const auto seed = GENERATE(range(1U, 13U));
  const auto every = GENERATE(1, 15, 60);
  const double off = 0.003;
  CAPTURE(seed, every);
  const Made batch = made(seed, every, 8, off);
  const auto known = in_hindsight(batch.curve, view_of(batch, off));
  REQUIRE(known.size() == batch.curve.size());
  double then = 0, now = 0;
  double held = 0;
  for (std::size_t i = 0; i < known.size(); ++i) {
    then += std::pow(batch.curve[i].gravity.value - off - batch.truth[i], 2);
    now += std::pow(known[i].gravity.value - batch.truth[i], 2);
    held += known[i].gravity.low <= batch.truth[i] && batch.truth[i] <= known[i].gravity.high ? 1 : 0;
    REQUIRE(known[i].gravity.low <= known[i].gravity.value);
    REQUIRE(known[i].gravity.value <= known[i].gravity.high);
    REQUIRE(known[i].time == batch.curve[i].time);
    REQUIRE(known[i].gravity_raw == Approx(batch.curve[i].gravity_raw - off).epsilon(1e-12));
  }
  CHECK(std::sqrt(now) < 0.5 * std::sqrt(then));
  CHECK(held > 0.8 * static_cast<double>(known.size()));
}

TEST_CASE("a curve ends at the gravity that stands beside it") {
  const Made batch = made(5, 15, 6, 0.002);
  BatchView view = view_of(batch, 0.002);
  view.gravity = Interval{1.0123, 1.0117, 1.0131};
  const auto known = in_hindsight(batch.curve, view);
  CHECK(known.back().gravity.value == Approx(1.0123).epsilon(1e-9));
  CHECK(known.back().gravity.low == Approx(1.0117).epsilon(1e-9));
  CHECK(known.back().gravity.high == Approx(1.0131).epsilon(1e-9));
}

TEST_CASE("what is not known of the offset is in the interval of the past") {
  const Made batch = made(5, 15, 6, 0.002);
  BatchView view = view_of(batch, 0.002);
  view.offset =
      PointsInterval{GravityPoints{2}, GravityPoints{-1}, GravityPoints{5}};  // points: as wide as three
  const auto known = in_hindsight(batch.curve, view);
  CHECK(known[100].gravity.high - known[100].gravity.value >= 0.003);
  CHECK(known[100].gravity.value - known[100].gravity.low >= 0.003);
}

TEST_CASE("few points, gaps and no numbers at all are looked at, too") {
  BatchView view;
  CHECK(in_hindsight({}, view).empty());
  const double nothing = std::nan("");
  const CurvePoint one{kStart, 1.05, {1.05, 1.049, 1.051}, {}, {}, Stage::lag};
  CHECK(in_hindsight(std::vector{one}, view)[0].gravity.value == Approx(1.05));
  CurvePoint broken = one;
  broken.gravity_raw = nothing;
  CHECK(in_hindsight(std::vector{broken}, view)[0].gravity.value == 1.05);
  CurvePoint later = one;
  later.time = kStart + days(9);
  later.gravity = {1.02, 1.019, 1.021};
  later.gravity_raw = 1.02;
  const auto two = in_hindsight(std::vector{one, one, later, later}, view);
  CHECK(two[0].gravity.value == Approx(1.05).margin(1e-6));
  CHECK(two[3].gravity.value == Approx(1.02).margin(1e-6));
}
