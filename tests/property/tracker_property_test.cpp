#include <catch2/catch.hpp>
#include <limits>
#include <random>
#include <sstream>

#include "base/rfc3339.h"
#include "fermentation/tracker.h"
#include "support/made_up_readings.h"

using namespace gyle;
using test::MadeUp;

namespace {

// Everything an outcome says, to the last bit.
std::string written(const Outcome& outcome) {
  std::ostringstream out;
  out << std::hexfloat;
  const auto interval = [&](const std::optional<Interval>& i) {
    if (i) out << ' ' << i->value << ' ' << i->low << ' ' << i->high;
  };
  const auto moments = [&](const std::optional<TimeInterval>& i) {
    for (const Time t : i ? std::vector{i->value, i->low, i->high} : std::vector<Time>{}) {
      out << ' ' << t.time_since_epoch().count();
    }
  };
  for (const Decision& d : outcome.decisions) {
    out << d.time.time_since_epoch().count() << name(d.kind) << name(d.state) << d.occurrence << d.sensor
        << d.step.value_or(0);
    for (const auto& [key, value] : d.evidence) out << key << value;
    out << '\n';
  }
  for (const CurvePoint& p : outcome.curve) {
    out << p.time.time_since_epoch().count() << ' ' << p.gravity_raw;
    interval(p.gravity);
    out << p.temperature.value_or(Celsius{-1}).value << p.attenuation.value_or(-1) << name(p.stage) << '\n';
  }
  for (const Forecast& f : outcome.forecasts) {
    out << f.time.time_since_epoch().count();
    interval(f.final_gravity);
    moments(f.final_time);
    moments(f.step_time);
    out << f.step.value_or(0) << '\n';
  }
  return out.str();
}

std::string decided(const Outcome& outcome) {
  Outcome only;
  only.decisions = outcome.decisions;
  return written(only);
}

// A batch with spikes, an outage of all, late and repeated rows, a battery that dies, and a clock that is
// reset for a while.
std::vector<Event> troubled(unsigned seed) {
  MadeUp batch;
  batch.seed = seed;
  std::mt19937 bits(seed);
  std::vector<Event> out;
  const auto chance = [&](double p) { return static_cast<double>(bits() % 10000) < 10000 * p; };
  for (const Event& event : batch.events()) {
    Reading reading = std::get<Reading>(event);
    const double hour = in_hours(reading.time - batch.pitched);
    if (hour > 30 && hour < 36) continue;
    if (reading.quantity == Quantity::gravity && chance(0.02)) reading.value += 0.01;
    if (reading.sensor == "hydrometer" && hour > 70 && hour < 75)
      reading.time += days(chance(0.5) ? 300 : -9000);
    out.push_back(reading);
    if (reading.quantity == Quantity::gravity) {
      out.push_back(
          Reading{reading.time, reading.sensor, Quantity::battery, 3.7 - 0.04 * std::max(0.0, hour) / 24});
    }
    if (chance(0.05)) out.push_back(reading);
    if (chance(0.03)) {
      reading.time -= minutes(100);
      out.push_back(reading);
    }
  }
  return out;
}

}  // namespace

TEST_CASE("a copy made after any event goes on alike") {
  const unsigned seed = GENERATE(range(1u, 4u));
  const auto events = troubled(seed);
  Tracker straight(MadeUp{}.spec());
  std::mt19937 bits(seed);
  Tracker copy = straight;
  for (std::size_t i = 0; i < events.size(); ++i) {
    CAPTURE(seed, i);
    if (bits() % 50 == 0) copy = straight;
    const std::string said = written(straight.advance(events[i]));
    REQUIRE(written(copy.advance(events[i])) == said);
  }
}

TEST_CASE("what was said up to a time does not depend on what follows") {
  const auto events = troubled(7);
  const auto others = troubled(8);
  const std::size_t cut = GENERATE(100u, 700u, 1500u);
  Tracker one(MadeUp{}.spec()), other(MadeUp{}.spec());
  std::string said, said_too;
  for (std::size_t i = 0; i < events.size(); ++i) {
    const std::string a = written(one.advance(events[i]));
    const std::string b = written(other.advance(i < cut ? events[i] : others[i % others.size()]));
    if (i >= cut) continue;
    said += a;
    said_too += b;
  }
  CHECK((said == said_too));
  CHECK(said.size() > 1000);
}

TEST_CASE("how often the clock ticks changes no decision") {
  const unsigned seed = GENERATE(range(1u, 4u));
  MadeUp batch;
  batch.seed = seed;
  batch.stops_at_h = seed == 3 ? 60 : 1e9;
  Tracker quiet(batch.spec()), ticking(batch.spec());
  std::string without, with;
  Time last = batch.pitched;
  for (const Event& event : batch.events()) {
    const Time time = std::get<Reading>(event).time;
    for (Time tick = last + minutes(1); tick < time; tick += minutes(seed))
      with += decided(ticking.advance(Tick{tick}));
    last = time;
    with += decided(ticking.advance(event));
    without += decided(quiet.advance(event));
  }
  CHECK(with == without);
  CHECK_FALSE(with.empty());
}

TEST_CASE("a reading delivered many times counts once") {
  MadeUp batch;
  Tracker once(batch.spec()), often(batch.spec());
  std::string single, repeated;
  for (const Event& event : batch.events()) {
    single += written(once.advance(event));
    for (int i = 0; i < 3; ++i) repeated += written(often.advance(event));
  }
  CHECK((single == repeated));  // too long to print
}

TEST_CASE("late rows change little") {
  MadeUp batch;
  const auto events = batch.events();
  Tracker plain(batch.spec()), with_late(batch.spec());
  std::vector<Decision> a, b;
  const auto collect = [](std::vector<Decision>& into, const Outcome& outcome) {
    into.insert(into.end(), outcome.decisions.begin(), outcome.decisions.end());
  };
  for (std::size_t i = 0; i < events.size(); ++i) {
    collect(a, plain.advance(events[i]));
    collect(b, with_late.advance(events[i]));
    if (i > 60 && i % 5 == 0) collect(b, with_late.advance(events[i - 30]));
  }
  REQUIRE(a.size() == b.size());
  for (std::size_t i = 0; i < a.size(); ++i) {
    CHECK(a[i].kind == b[i].kind);
    CHECK(std::abs(in_hours(a[i].time - b[i].time)) <= 3);
  }
}

TEST_CASE("nothing that a sensor can send breaks the tracker or its curve") {
  const unsigned seed = GENERATE(range(1u, 13u));
  std::mt19937_64 bits(seed);
  const double values[] = {std::numeric_limits<double>::quiet_NaN(),
                           std::numeric_limits<double>::infinity(),
                           -std::numeric_limits<double>::infinity(),
                           std::numeric_limits<double>::max(),
                           std::numeric_limits<double>::denorm_min(),
                           0.0,
                           -1e300,
                           1.2,
                           0.98,
                           85,
                           1.05};
  MadeUp batch;
  batch.to_h = 120;
  BatchSpec spec = batch.spec();
  if (seed % 2 == 0) spec.original_gravity.reset();
  if (seed % 3 == 0) spec.plan.clear();
  Tracker tracker(spec);
  for (const Event& event : batch.events()) {
    Reading reading = std::get<Reading>(event);
    Outcome outcome = tracker.advance(event);
    if (bits() % 3 == 0) {
      reading.value = values[bits() % std::size(values)];
      reading.quantity = static_cast<Quantity>(bits() % 6);
      const int how = static_cast<int>(bits() % 6);
      if (how == 0) reading.time = Time(Duration(static_cast<Duration::rep>(bits())));
      if (how == 1) reading.time = Time::max();
      if (how == 2) reading.time = Time::min();
      if (how == 3) reading.sensor = std::string(bits() % 3, 'x');
      outcome = tracker.advance(reading);
      if (how == 4) tracker.advance(Tick{Time::max()});
      if (how == 5) tracker.advance(Tick{Time::min()});
    }
    for (const CurvePoint& point : outcome.curve) {
      REQUIRE(std::isfinite(point.gravity.value));
      REQUIRE(point.gravity.low <= point.gravity.value);
      REQUIRE(point.gravity.value <= point.gravity.high);
    }
    for (const Forecast& forecast : outcome.forecasts) {
      if (forecast.final_gravity) REQUIRE(std::isfinite(forecast.final_gravity->value));
      if (forecast.final_time) REQUIRE(forecast.final_time->low <= forecast.final_time->high);
    }
  }
  tracker.view();
}
