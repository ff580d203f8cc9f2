#include "fermentation/gravity_track.h"

#include <catch2/catch.hpp>
#include <functional>
#include <random>

using namespace gyle;

namespace {

constexpr double kEveryH = 0.25;

// A beer at 18 degC, read every quarter of an hour with white noise of `sd` points.
struct Readings {
  explicit Readings(unsigned seed, double sd_points) : bits(seed), noise(0, sd_points) {}
  GravityTrack begin(double points) { return {0, points + noise(bits), Celsius{18}}; }
  void feed(GravityTrack& track, double from_h, double to_h, const std::function<double(double)>& points,
            double kelvin = 0) {
    for (double t = from_h + kEveryH; t <= to_h; t += kEveryH) {
      track.offer(t, t, points(t) + noise(bits), Celsius{18 + kelvin});
    }
  }
  std::mt19937 bits;
  std::normal_distribution<double> noise;
};

double flat(double) { return 20; }

}  // namespace

TEST_CASE("a track finds a level and a rate, and its errors hold them") {
  constexpr int kBatches = 200;
  int level_held = 0, rate_held = 0;
  for (unsigned seed = 1; seed <= kBatches; ++seed) {
    Readings readings(seed, 0.6);
    GravityTrack track = readings.begin(50);
    const auto falling = [](double t) { return 50 - 0.2 * t; };
    readings.feed(track, 0, 60, falling);
    const auto now = track.estimate();
    level_held += std::abs(now.level - falling(60)) < 1.2816 * now.level_sd ? 1 : 0;
    rate_held += std::abs(now.rate + 0.2) < 1.2816 * now.rate_sd ? 1 : 0;
    CHECK(now.level == Approx(falling(60)).margin(1.2));
  }
  // At least eight in ten; the bank allows for a liveliness that a straight line does not have.
  CHECK(level_held >= 0.75 * kBatches);
  CHECK(rate_held >= 0.75 * kBatches);
}

TEST_CASE("the noise of the readings is learnt") {
  const double sd = GENERATE(0.3, 0.8, 2.0);
  CAPTURE(sd);
  Readings readings(3, sd);
  GravityTrack track = readings.begin(20);
  readings.feed(track, 0, 60, flat);
  CHECK(std::sqrt(track.noise().white_var) == Approx(sd).epsilon(0.2));
}

TEST_CASE("single spikes do not move the level") {
  Readings readings(4, 0.4);
  GravityTrack track = readings.begin(20);
  readings.feed(track, 0, 40, [](double t) { return flat(t) + (std::fmod(t, 5) == 0 ? 15 : 0); });
  CHECK(track.estimate().level == Approx(20).margin(0.5));
  CHECK_FALSE(track.last_jump());
  CHECK_FALSE(track.displaced());
}

TEST_CASE("what lifts the hydrometer for a while is no gravity") {
  Readings readings(5, 0.3);
  GravityTrack track = readings.begin(20);
  readings.feed(track, 0, 40, flat);
  track.drive(0, 12, false);
  readings.feed(track, 40, 46, [](double) { return 25.0; });
  CHECK(track.displaced());
  REQUIRE(track.last_jump());
  CHECK(track.last_jump()->size == Approx(5).margin(0.8));
  CHECK(track.estimate().level == Approx(20).margin(1.5));
  readings.feed(track, 46, 60, flat);
  CHECK_FALSE(track.displaced());
  CHECK(track.moved() == 0);
}

TEST_CASE("a lift that stays becomes part of the offset") {
  Readings readings(6, 0.3);
  GravityTrack track = readings.begin(20);
  readings.feed(track, 0, 40, flat);
  track.drive(0, 12, false);
  readings.feed(track, 40, 120, [](double) { return 25.0; });
  CHECK(track.moved() == Approx(5).margin(0.7));
  REQUIRE(track.shift());
  CHECK(track.shift()->lasting);
  // What it showed before counts as if it had been shown with the offset of now.
  CHECK(track.history().hours().front().points == Approx(25).margin(1));
}

TEST_CASE("a hydrometer that no longer trembles is pinned, and its hours are suspect") {
  Readings readings(7, 0.6);
  GravityTrack track = readings.begin(30);
  readings.feed(track, 0, 40, [](double t) { return 30 - 0.1 * t; });
  track.drive(-0.1, 10, false);
  for (double t = 40.25; t <= 52; t += kEveryH)
    track.offer(t, t, 26.013 + 1e-4 * std::fmod(t, 1), Celsius{18});
  CHECK(track.pinned());
  CHECK(track.history().hours().back().suspect);
}

TEST_CASE("a bias with temperature is learnt and taken out") {
  Readings readings(8, 0.3);
  GravityTrack track = readings.begin(20);
  for (int day = 0; day < 8; ++day) {
    const double warmer = day % 2 == 0 ? 0 : 4;
    readings.feed(
        track, 24.0 * day, 24.0 * (day + 1), [&](double) { return 20 + 0.25 * warmer; }, warmer);
  }
  const auto now = track.estimate();
  CHECK(now.warmth_slope == Approx(0.25).margin(0.12));
  CHECK(now.level == Approx(20).margin(0.6));
}
