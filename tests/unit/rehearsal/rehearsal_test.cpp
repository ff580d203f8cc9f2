#include "rehearsal/rehearsal.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

using namespace gyle;

namespace {

RehearsalOptions options_for(const std::string& scenario, std::uint64_t seed = 1) {
  RehearsalOptions options;
  options.scenario = scenario;
  options.seed = seed;
  options.pitched = Time(hours(24 * 20513)) + minutes(1110);
  return options;
}

bool same(const Rehearsal& a, const Rehearsal& b) {
  return std::equal(a.messages.begin(), a.messages.end(), b.messages.begin(), b.messages.end(),
                    [](const auto& x, const auto& y) {
                      return x.delivered == y.delivered && x.sensor == y.sensor &&
                             x.readings.front().value == y.readings.front().value;
                    });
}

}  // namespace

TEST_CASE("every scenario is a plausible batch") {
  for (const std::string& name : scenario_names()) {
    CAPTURE(name);
    const auto made = rehearse(options_for(name));
    REQUIRE(made);
    const Rehearsal& r = made.value();
    REQUIRE_FALSE(r.messages.empty());
    CHECK(r.spec.pitched == r.truth.pitched);
    CHECK(r.spec.original_gravity->value() == r.truth.original_gravity);
    CHECK(std::is_sorted(r.messages.begin(), r.messages.end(),
                         [](const auto& a, const auto& b) { return a.delivered < b.delivered; }));
    for (const auto& message : r.messages) {
      REQUIRE_FALSE(message.readings.empty());
      for (const auto& reading : message.readings) {
        REQUIRE(reading.sensor == message.sensor);
        REQUIRE(reading.time == message.stamp);
        REQUIRE(std::isfinite(reading.value));
      }
    }
    for (double celsius : r.truth.beer_temperature) REQUIRE((celsius > -1.0 && celsius < 32.0));
    const double attenuation =
        (r.truth.original_gravity - r.truth.final_gravity) / (r.truth.original_gravity - 1.0);
    const bool unusual = name == "stuck" || name == "creeping" || name == "asleep";
    const bool in_band =
        attenuation > r.spec.yeast.attenuation_low && attenuation < r.spec.yeast.attenuation_high;
    CHECK(in_band != unusual);
  }
}

TEST_CASE("the default scenario lasts three weeks, changes hold once and finishes well before the end") {
  const auto made = rehearse(options_for(scenario_names().front()));
  REQUIRE(made);
  const Truth& truth = made.value().truth;
  CHECK(in_days(truth.end() - truth.pitched) == Approx(21.0));
  REQUIRE(truth.hold_over[0]);
  REQUIRE(truth.finished);
  CHECK(in_days(*truth.hold_over[0] - truth.pitched) > 4.0);
  CHECK(in_days(*truth.finished - truth.pitched) < 17.0);
}

TEST_CASE("the same seed gives the same messages") {
  const auto a = rehearse(options_for("three-week", 5));
  const auto b = rehearse(options_for("three-week", 5));
  const auto c = rehearse(options_for("three-week", 6));
  REQUIRE((a && b && c));
  CHECK(same(a.value(), b.value()));
  CHECK_FALSE(same(a.value(), c.value()));
}

TEST_CASE("options set interval and sensor names; invalid ones are errors that name the valid ones") {
  RehearsalOptions options = options_for("quiet");
  options.interval = minutes(60);
  options.hydrometer_sensor = "cellar-hydrometer";
  const auto hourly = rehearse(options);
  REQUIRE(hourly);
  const auto hydrometers = std::count_if(hourly.value().messages.begin(), hourly.value().messages.end(),
                                         [](const auto& m) { return m.sensor == "cellar-hydrometer"; });
  CHECK(hydrometers == Approx(14 * 24).margin(2));
  options.interval = seconds(1);
  CHECK(rehearse(options).error().code == Errc::out_of_range);
  const auto unknown = rehearse(options_for("no such"));
  REQUIRE_FALSE(unknown);
  CHECK(unknown.error().code == Errc::not_found);
  CHECK(unknown.error().message.find("three-week") != std::string::npos);
}
