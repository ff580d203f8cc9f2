#include "fermentation/batch_trace.h"

#include <algorithm>
#include <catch2/catch.hpp>

using namespace gyle;

namespace {

Outcome outcome_at(int minute, double gravity, double celsius) {
  const Time time{minutes(minute)};
  Outcome outcome;
  outcome.curve.push_back({time, gravity, {gravity, gravity, gravity}, {}, {}, Stage::lag});
  outcome.measured.push_back({time, Quantity::beer_temperature, celsius});
  outcome.measured.push_back({time, Quantity::ambient_temperature, celsius - 2});
  return outcome;
}

}  // namespace

TEST_CASE("a trace keeps every outcome in order of time, late samples too") {
  BatchTrace trace;
  for (int i = 0; i < 100; ++i) trace.add(outcome_at(i, 1.05, 20));
  Outcome sample;
  sample.measured = {{Time(minutes(70)), Quantity::sample, 1.03}};
  trace.add(sample);
  sample.measured = {{Time(minutes(30)), Quantity::sample, 1.04}};
  trace.add(sample);
  CHECK(trace.whole());
  CHECK(trace.curve().size() == 100);
  CHECK(trace.beer().size() == 100);
  CHECK(trace.ambient().back().value == 18);
  REQUIRE(trace.samples().size() == 2);
  CHECK(trace.samples()[0].value == 1.04);
}

TEST_CASE("a trace is bounded, and keeps its peaks when it is thinned") {
  BatchTrace trace(1000);
  for (int i = 0; i < 20'000; ++i) trace.add(outcome_at(i, i == 777 ? 1.2 : 1.05, i == 12'345 ? 3 : 20));
  CHECK_FALSE(trace.whole());
  CHECK(trace.curve().size() <= 1000);
  CHECK(trace.curve().size() > 100);
  CHECK(trace.beer().size() <= 1000);
  CHECK(trace.curve().front().time == Time(minutes(0)));
  CHECK(trace.curve().back().time == Time(minutes(19'999)));
  const auto highest =
      std::max_element(trace.curve().begin(), trace.curve().end(),
                       [](const auto& a, const auto& b) { return a.gravity_raw < b.gravity_raw; });
  CHECK(highest->time == Time(minutes(777)));
  CHECK(std::any_of(trace.beer().begin(), trace.beer().end(),
                    [](const UsedReading& m) { return m.value == 3; }));
}
