// Several hydrometers in one vessel, and several probes.

#include <catch2/catch.hpp>

#include "fermentation/level_doubt.h"
#include "fermentation/tracker.h"
#include "support/made_up_readings.h"

using namespace gyle;
using test::MadeUp;

namespace {

// The made-up batch with more hydrometers, each with its offset; the first is "hydrometer".
BatchView with_offsets(const std::vector<double>& offsets, bool original_given, double to_h = 120) {
  std::vector<Event> events;
  std::uint64_t seed = 1;
  MadeUp batch;
  batch.to_h = to_h;
  for (const double offset : offsets) {
    MadeUp one = batch;
    one.offset = offset;
    one.seed = seed++;
    std::size_t at = 0;
    for (Event event : one.events()) {
      auto& reading = std::get<Reading>(event);
      if (seed > 2) {
        if (reading.quantity != Quantity::gravity) continue;
        reading.sensor = "hydrometer " + std::to_string(seed - 1);
        reading.time += seconds(seed);
        while (at < events.size() && std::get<Reading>(events[at]).time < reading.time) ++at;
        events.insert(events.begin() + static_cast<std::ptrdiff_t>(at), event);
      } else {
        events.push_back(event);
      }
    }
  }
  BatchSpec spec = batch.spec();
  if (!original_given) spec.original_gravity.reset();
  Tracker tracker(spec);
  for (const Event& event : events) (void)tracker.advance(event);
  return tracker.view();
}

const Reason* about(const BatchView& view, Finding finding) {
  for (const Reason& reason : view.reasons) {
    if (reason.finding == finding) return &reason;
  }
  return nullptr;
}

}  // namespace

TEST_CASE("other hydrometers show the offset of this one") {
  const HydrometerBeside agree[] = {{0.1, 0.4}, {-0.2, 0.4}};
  const HydrometerBeside differ[] = {{4.1, 0.4}, {3.8, 0.4}};
  const LevelDoubt alone(50, 0.3, {}, {}), right(50, 0.3, {}, {}, agree), off(50, 0.3, {}, {}, differ);
  CHECK(std::abs(right.mean()) < 0.3);
  CHECK(right.sd() < alone.sd());
  CHECK(off.mean() == Approx(3.6).margin(0.6));
  // One against one: half of the difference is each one's.
  const HydrometerBeside one[] = {{4.0, 0.4}};
  CHECK(LevelDoubt(50, 0.3, {}, {}, one).mean() == Approx(2).margin(0.2));
  // The original gravity decides between two.
  CHECK(LevelDoubt(50, 0.3, 50.0, {}, one).mean() < 0.8);
  CHECK(LevelDoubt(54, 0.3, 50.0, {}, one).mean() > 3.0);
}

TEST_CASE("of three hydrometers the odd one is named, and the others are believed") {
  const std::size_t odd = GENERATE(0u, 1u, 2u);
  std::vector<double> offsets{0.2, -0.2, 0.1};
  offsets[odd] += 4.5;
  CAPTURE(odd);
  const BatchView view = with_offsets(offsets, false);
  const Reason* reason = about(view, Finding::hydrometers_disagree);
  REQUIRE(reason != nullptr);
  CHECK(reason->sensor == (odd == 0 ? "hydrometer" : "hydrometer " + std::to_string(odd + 1)));
  CHECK(find(reason->numbers, "offset_points").value() == Approx(4.5).margin(1.2));
  REQUIRE(view.gravity);
  CHECK(1000 * (view.gravity->value - 1) == Approx(MadeUp{}.points_at(120)).margin(1.3));
}

TEST_CASE("hydrometers that agree are not spoken of") {
  const BatchView view = with_offsets({0.3, -0.4}, true);
  CHECK(about(view, Finding::hydrometers_disagree) == nullptr);
}

TEST_CASE("of two hydrometers the original gravity says which is odd") {
  const BatchView view = with_offsets({0, 4}, true);
  const Reason* reason = about(view, Finding::hydrometers_disagree);
  REQUIRE(reason != nullptr);
  CHECK(reason->sensor == "hydrometer 2");
  // Without it nobody can know.
  const BatchView blind = with_offsets({0, 4}, false);
  reason = about(blind, Finding::hydrometers_disagree);
  REQUIRE(reason != nullptr);
  CHECK(reason->sensor.empty());
  CHECK(find(reason->numbers, "difference_points").value() == Approx(4).margin(0.8));
}

TEST_CASE("a jump that another hydrometer does not show is said to be one of the hydrometer") {
  MadeUp batch;
  batch.to_h = 110;
  MadeUp twin = batch;
  twin.seed = 2;
  std::vector<Event> events = batch.events();
  for (Event& event : events) {
    auto& reading = std::get<Reading>(event);
    if (reading.quantity == Quantity::gravity && reading.time > batch.pitched + from_hours(70))
      reading.value += 0.005;
  }
  for (Event event : twin.events()) {
    auto& reading = std::get<Reading>(event);
    if (reading.quantity != Quantity::gravity) continue;
    reading.sensor = "twin";
    reading.time += seconds(5);
    events.push_back(event);
  }
  std::stable_sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
    return std::get<Reading>(a).time < std::get<Reading>(b).time;
  });
  Tracker tracker(batch.spec());
  std::vector<Decision> jumps;
  for (const Event& event : events) {
    for (const Decision& d : tracker.advance(event).decisions) {
      if (d.kind == AlertKind::gravity_jumped && d.state == Decision::State::raised) jumps.push_back(d);
    }
  }
  REQUIRE(jumps.size() == 1);
  CHECK(jumps[0].sensor == "hydrometer");
  CHECK(find(jumps[0].evidence, "others_steady") == 1.0);
}

TEST_CASE("two probes that disagree are named") {
  const double by = GENERATE(0.3, 2.5);
  MadeUp batch;
  batch.to_h = 40;
  Tracker tracker(batch.spec());
  for (const Event& event : batch.events()) {
    (void)tracker.advance(event);
    Reading reading = std::get<Reading>(event);
    if (reading.quantity != Quantity::beer_temperature) continue;
    reading.sensor = "second probe";
    reading.value += by;
    reading.time += seconds(7);
    (void)tracker.advance(reading);
  }
  const BatchView view = tracker.view();
  const Reason* reason = about(view, Finding::probes_disagree);
  REQUIRE((reason != nullptr) == (by > 1));
  if (reason == nullptr) return;
  CHECK(reason->sensor == "second probe");
  CHECK(find(reason->numbers, "warmer_celsius").value() == Approx(by).margin(0.2));
}
