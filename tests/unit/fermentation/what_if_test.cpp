#include "fermentation/what_if.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/rfc3339.h"
#include "fermentation/tracker.h"
#include "rehearsal/rehearsal.h"

using namespace gyle;

namespace {

Rehearsal three_weeks() {
  RehearsalOptions options;
  options.seed = 7;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(60);
  return rehearse(options).value();
}

// The batch as it is after so long.
Tracker after(Duration time) {
  const Rehearsal rehearsal = three_weeks();
  Tracker tracker(rehearsal.spec);
  for (const auto& message : rehearsal.messages) {
    if (message.delivered > rehearsal.spec.pitched + time) break;
    for (const Reading& reading : message.readings) tracker.advance(reading);
  }
  return tracker;
}

WhatIf held(double celsius, Time from) { return {HypotheticalHold{Celsius{celsius}, from}, {}}; }

}  // namespace

TEST_CASE(
    "without a question the outlook is the forecast, and the beer is ready a window and a while later") {
  const Tracker tracker = after(days(3));
  const Outlook outlook = tracker.outlook({});
  const Forecast forecast = tracker.view().forecast;
  REQUIRE(forecast.final_time);
  CHECK(outlook.forecast.final_time->value == forecast.final_time->value);
  CHECK(outlook.forecast.step_time->value == forecast.step_time->value);
  REQUIRE(outlook.ready_time);
  // Nobody can be sure at the moment itself.
  CHECK(outlook.ready_time->value - forecast.final_time->value > hours(44));
  CHECK(outlook.ready_time->value - forecast.final_time->value < hours(120));
  CHECK(outlook.ready_time->high > outlook.ready_time->low + hours(1));
  CHECK_FALSE(outlook.chance_ready);
}

TEST_CASE("the warmer the hold, and the earlier it begins, the sooner the end") {
  const Tracker tracker = after(days(3));
  const Time now = tracker.view().time;
  Time before = Time::max();
  for (const double celsius : {10.0, 14.0, 18.0, 22.0, 26.0}) {
    CAPTURE(celsius);
    const Outlook outlook = tracker.outlook(held(celsius, now));
    REQUIRE(outlook.forecast.final_time);
    CHECK(outlook.forecast.final_time->value < before);
    before = outlook.forecast.final_time->value;
  }
  before = Time::min();
  for (const int hours_later : {0, 12, 24, 48}) {
    CAPTURE(hours_later);
    const Outlook outlook = tracker.outlook(held(28, now + hours(hours_later)));
    CHECK(outlook.forecast.final_time->value >= before);
    before = outlook.forecast.final_time->value;
  }
  // What ends a beer is not moved by its temperature.
  CHECK(tracker.outlook(held(26, now)).forecast.final_gravity->value ==
        tracker.view().forecast.final_gravity->value);
}

TEST_CASE("a hold that has begun already counts from now") {
  const Tracker tracker = after(days(3));
  const Time now = tracker.view().time;
  CHECK(tracker.outlook(held(24, now - days(2))).forecast.final_time->value ==
        tracker.outlook(held(24, now)).forecast.final_time->value);
}

TEST_CASE("the chance to be ready grows with time and agrees with the interval") {
  const Tracker tracker = after(days(3));
  const Outlook outlook = tracker.outlook({});
  const auto chance_by = [&](Time time) { return tracker.outlook({{}, time}).chance_ready.value(); };
  CHECK(chance_by(outlook.ready_time->low - minutes(1)) <= 0.12);
  CHECK(chance_by(outlook.ready_time->high + minutes(1)) >= 0.88);
  CHECK(chance_by(outlook.ready_time->value) == Approx(0.5).margin(0.1));
  CHECK(chance_by(outlook.ready_time->low) <= chance_by(outlook.ready_time->high));
}

TEST_CASE("a batch without readings has no outlook") {
  const Rehearsal rehearsal = three_weeks();
  const Tracker tracker(rehearsal.spec);
  const Outlook outlook = tracker.outlook({{}, rehearsal.spec.pitched + days(10)});
  CHECK_FALSE(outlook.forecast.final_gravity);
  CHECK_FALSE(outlook.ready_time);
  CHECK_FALSE(outlook.chance_ready);
}

TEST_CASE("a stable beer is ready, whatever the question") {
  const Tracker tracker = after(days(21));
  const BatchView view = tracker.view();
  REQUIRE(view.final_gravity_since);
  const Outlook outlook = tracker.outlook({HypotheticalHold{Celsius{12}, view.time}, view.time});
  CHECK(outlook.ready_time->value == *view.final_gravity_since);
  CHECK(outlook.chance_ready == 1.0);
}

TEST_CASE("a hand sample anchors the hydrometer, also when it is entered hours later") {
  for (const Duration late : {Duration{}, Duration(hours(9))}) {
    CAPTURE(in_hours(late));
    Tracker tracker = after(days(7));
    const BatchView before = tracker.view();
    const double sample = before.gravity->value - 0.004;
    tracker.advance(Reading{before.time - late, "hand", Quantity::sample, sample});
    const BatchView now = tracker.view();
    CHECK(now.gravity->value < before.gravity->value);
    CHECK(now.offset->value.value > before.offset->value.value);
    CHECK(now.sensors.size() == before.sensors.size());
  }
}
