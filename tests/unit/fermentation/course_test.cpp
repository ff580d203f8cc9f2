#include "fermentation/course.h"

#include <catch2/catch.hpp>
#include <random>

using namespace gyle;

namespace {

constexpr CoursePrior kPrior{50.0, {}, 0.76, 0.04};

// A beer of one of the shapes: 50 points, half of its fall 40 h after a lag of 8 h, with the noise of an
// ordinary hydrometer.
std::vector<HourMean> hours_of(const CourseShape& shape, double fall, double to_h, unsigned seed) {
  std::mt19937 bits(seed);
  std::normal_distribution<double> noise(0, 0.3);
  std::vector<HourMean> hours;
  for (double t = 0; t < to_h; ++t) {
    hours.push_back({t, t, 50 - fall * shape.at((t - 8) / 40).done + noise(bits), 0, 4, 1, 0.36, 0, false});
  }
  return hours;
}

CourseFit fitted(const std::vector<HourMean>& hours, const CoursePrior& prior = kPrior) {
  CourseFit fit;
  fit.refit(hours, hours.back().time_h, SensorNoise{0.36, 0.01, 3}, prior);
  return fit;
}

}  // namespace

TEST_CASE("a course that is known is found again") {
  const auto& shapes = course_shapes();
  const auto which = GENERATE(0u, 6u, 20u, 30u, 40u);
  CAPTURE(which);
  const double fall = 37;
  const CourseShape& shape = shapes[which % shapes.size()];
  const CourseFit fit = fitted(hours_of(shape, fall, 200, 1));
  REQUIRE(fit.ready());
  CHECK(fit.start_shown() == Approx(50).margin(0.4));
  CHECK(fit.end_shown() == Approx(13).margin(0.8));
  for (const double t : {20.0, 60.0, 100.0}) {
    CHECK(fit.shown_at(t) == Approx(50 - fall * shape.at((t - 8) / 40).done).margin(0.5));
  }
  CHECK(fit.rate_at(50) == Approx(-fall * shape.at(42.0 / 40).slope / 40).epsilon(0.15));
  CHECK(fit.done_at(120) == Approx(shape.at(112.0 / 40).done).margin(0.03));
}

TEST_CASE("the interval of the end holds eight in ten, half way down") {
  const auto& shapes = course_shapes();
  constexpr int kBatches = 120;
  std::mt19937 bits(11);
  std::normal_distribution<double> unit;
  int held = 0;
  for (unsigned i = 0; i < kBatches; ++i) {
    // Attenuations as the prior has them.
    const double fall = 50 * (0.76 + 0.65 * 0.04 * unit(bits));
    const auto fit = fitted(hours_of(shapes[bits() % shapes.size()], fall, 52, i + 1));
    std::vector<WeightedValue> ends;
    for (const CourseDraw& draw : fit.draws()) ends.push_back({draw.final(), draw.weight});
    const double truth = 50 - fall;
    held += weighted_quantile(ends, 0.1) <= truth && truth <= weighted_quantile(ends, 0.9) ? 1 : 0;
  }
  CAPTURE(held);
  CHECK(held >= 0.72 * kBatches);
  CHECK(held <= 0.97 * kBatches);  // wider than the readings alone need: no real beer has one of these shapes
}

TEST_CASE("one wild hour does not bend a course") {
  auto hours = hours_of(course_shapes().front(), 37, 100, 2);
  const double before = fitted(hours).end_shown();
  hours[60].points += 20;
  CHECK(fitted(hours).end_shown() == Approx(before).margin(0.15));
}

TEST_CASE("sugar that is added falls too") {
  CoursePrior with = kPrior;
  with.added = {{30, 10}};
  const CourseShape& shape = course_shapes().front();
  auto hours = hours_of(shape, 30, 140, 3);
  for (HourMean& hour : hours) hour.points -= 10 * with.added.front().done(hour.thermal_h);
  const CourseFit fit = fitted(hours, with);
  CHECK(fit.end_shown() == Approx(10).margin(0.8));
  for (const CourseDraw& draw : fit.draws()) {
    CHECK(draw.done(draw.when(0.7)) == Approx(0.7).margin(1e-6));
  }
}
