#include "rehearsal/kinetics.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/reference.h"

using namespace gyle;

namespace {

void advance_to(Kinetics& kinetics, double& now_h, double then_h, double celsius) {
  while (now_h < then_h - 1e-9) {
    const double step = std::min(1.0 / 6.0, then_h - now_h);
    kinetics.advance(step, celsius);
    now_h += step;
  }
}

}  // namespace

// tests/reference/kinetics_reference.json, "yeast14_logistic": P(t) = Pe + (Pi - Pe) / (1 + exp(-B (t - M)))
// of ASBC Yeast-14, evaluated by a second program. Ours is relative to the value at t = 0.
TEST_CASE("the symmetric sigmoid is the four-parameter logistic of the miniature fermentation") {
  const auto reference = test::reference_json("kinetics_reference.json")["curves"]["yeast14_logistic"];
  SigmoidShape shape;
  shape.midpoint_h = reference["M"];
  shape.steepness_per_h = -reference["B"].get<double>();
  SigmoidKinetics kinetics(shape);
  const double first = reference["y"][0];
  const double last = reference["Pe"];
  double now_h = 0.0;
  for (std::size_t i = 0; i < reference["t"].size(); ++i) {
    CAPTURE(i);
    advance_to(kinetics, now_h, reference["t"][i], shape.reference_celsius);
    CHECK(first - kinetics.fallen() * (first - last) ==
          Approx(reference["y"][i].get<double>()).epsilon(1e-9));
  }
}

// Definition of Q10: ten degrees more, Q10 times as fast.
TEST_CASE("temperature scales time by Q10") {
  SigmoidShape shape;
  shape.q10 = 2.5;
  SigmoidKinetics cool(shape);
  SigmoidKinetics warm(shape);
  double cool_h = 0.0;
  double warm_h = 0.0;
  advance_to(cool, cool_h, 100.0, 15.0);
  advance_to(warm, warm_h, 40.0, 25.0);
  CHECK(cool.fallen() == Approx(warm.fallen()).epsilon(1e-9));
}

TEST_CASE("every shape falls from 0 to 1 and never back") {
  SigmoidShape shape;
  shape.asymmetry = GENERATE(0.3, 1.0, 2.5);
  shape.slow_share = GENERATE(0.0, 0.15);
  CAPTURE(shape.asymmetry, shape.slow_share);
  SigmoidKinetics kinetics(shape);
  CHECK(kinetics.fallen() == Approx(0.0).margin(1e-12));
  double before = 0.0;
  for (int i = 0; i < 6 * 2000; ++i) {
    kinetics.advance(1.0 / 6.0, 20.0);
    REQUIRE(kinetics.fallen() >= before);
    before = kinetics.fallen();
  }
  CHECK(before == Approx(1.0).margin(1e-6));
}

TEST_CASE("cold stops yeast, warmth restarts it") {
  Halt halt;
  halt.too_cold_below = 14.0;
  halt.wakes_above = 18.0;
  HaltingKinetics kinetics(std::make_unique<SigmoidKinetics>(SigmoidShape{}), halt);
  double now_h = 0.0;
  advance_to(kinetics, now_h, 40.0, 19.0);
  advance_to(kinetics, now_h, 90.0, 12.0);
  const double stopped = kinetics.fallen();
  CHECK(stopped > 0.3);
  CHECK(stopped < 0.8);
  advance_to(kinetics, now_h, 300.0, 16.0);  // above where it stopped, below where it resumes
  CHECK(kinetics.fallen() == Approx(stopped).margin(1e-4));
  advance_to(kinetics, now_h, 600.0, 20.0);
  CHECK(kinetics.fallen() > 0.99);
}

TEST_CASE("yeast that gave up resumes only where that is configured, and when it is warm enough") {
  Halt halt;
  halt.gives_up_at = 0.6;
  const bool can_wake = GENERATE(false, true);
  if (can_wake) halt.gives_up_wakes_above = 23.0;
  HaltingKinetics kinetics(std::make_unique<SigmoidKinetics>(SigmoidShape{}), halt);
  double now_h = 0.0;
  advance_to(kinetics, now_h, 500.0, 20.0);
  CHECK(kinetics.fallen() > 0.6);
  CHECK(kinetics.fallen() < 0.85);
  advance_to(kinetics, now_h, 900.0, 24.0);
  CHECK((kinetics.fallen() > 0.99) == can_wake);
}

TEST_CASE("nothing ferments during the lag") {
  LaggingKinetics kinetics(std::make_unique<SigmoidKinetics>(SigmoidShape{}), 24.0);
  double now_h = 0.0;
  advance_to(kinetics, now_h, 24.0, 20.0);
  CHECK(kinetics.fallen() == Approx(0.0).margin(1e-6));
  advance_to(kinetics, now_h, 400.0, 20.0);
  CHECK(kinetics.fallen() > 0.99);
}

TEST_CASE("a creep begins at the given rate and ends at the given total") {
  CreepingKinetics kinetics(std::make_unique<SigmoidKinetics>(SigmoidShape{20.0, 0.5}), 0.2, 0.01);
  double now_h = 0.0;
  advance_to(kinetics, now_h, 48.0, 20.0);
  const double before = kinetics.fallen();
  advance_to(kinetics, now_h, 72.0, 20.0);
  CHECK(kinetics.fallen() - before == Approx(0.01).epsilon(0.1));
  advance_to(kinetics, now_h, 24.0 * 300, 20.0);
  CHECK(kinetics.fallen() == Approx(1.2).margin(1e-4));
}
