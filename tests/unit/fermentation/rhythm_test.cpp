// Any rhythm that people have: from a reading a minute to one a day, hand samples alone, hydrometers that
// join late.

#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "fermentation/tracker.h"
#include "support/made_up_readings.h"

using namespace gyle;
using test::MadeUp;

namespace {

struct Story {
  std::string words;
  std::size_t readings = 0;
  std::size_t curve = 0;
  int covered = 0;
  BatchView view;
};

// The made-up batch by the hydrometer alone, with a reading every so often from an hour on.
Story story_of(const MadeUp& batch, double every_h, double from_h, Quantity as) {
  Tracker tracker(batch.spec());
  Story story;
  double next_h = from_h;
  for (const Event& event : batch.events()) {
    Reading reading = std::get<Reading>(event);
    const double hour = in_hours(reading.time - batch.pitched);
    if (reading.quantity != Quantity::gravity || hour < next_h - 1e-6) continue;
    next_h += every_h;
    reading.quantity = as;
    ++story.readings;
    const Outcome outcome = tracker.advance(reading);
    for (const Decision& d : outcome.decisions) {
      if (!story.words.empty()) story.words += ' ';
      story.words += (d.state == Decision::State::raised ? "" : "-") + std::string(name(d.kind));
    }
    for (const CurvePoint& point : outcome.curve) {
      const double truth = 1 + batch.points_at(hour) / 1000;
      story.covered += point.gravity.low <= truth && truth <= point.gravity.high ? 1 : 0;
    }
    story.curve += outcome.curve.size();
  }
  story.view = tracker.view();
  return story;
}

MadeUp long_batch() {
  MadeUp batch;
  batch.to_h = 480;
  return batch;
}

}  // namespace

TEST_CASE("a hydrometer alone may report every few hours or once a day") {
  const double every_h = GENERATE(1.0, 4.0, 8.0, 12.0, 24.0);
  CAPTURE(every_h);
  const Story story = story_of(long_batch(), every_h, every_h / 2, Quantity::gravity);
  CHECK(story.words == "fermentation-started step-due final-gravity-stable");
  CHECK(story.curve == story.readings);
  CHECK(story.covered >= 0.6 * static_cast<double>(story.curve));
  CHECK(story.view.gravity->value == Approx(1.012).margin(0.0012));
  REQUIRE(story.view.forecast.final_gravity);
}

TEST_CASE("hand samples alone are enough to watch a batch") {
  const Story story = story_of(long_batch(), 24, 10, Quantity::sample);
  CHECK(story.words == "fermentation-started step-due final-gravity-stable");
  CHECK(story.curve == 0);  // its points are gravity readings
  CHECK(story.view.sensors.empty());
  CHECK(story.view.gravity->value == Approx(1.012).margin(0.0012));
}

TEST_CASE("a hydrometer that joins half way down finds the beer fermenting") {
  const double from_h = GENERATE(50.0, 74.0);
  CAPTURE(from_h);
  const Story story = story_of(long_batch(), 0.25, from_h, Quantity::gravity);
  CHECK(story.words.find("slow-start") == std::string::npos);
  CHECK(story.words.substr(0, 20) == "fermentation-started");
  CHECK(story.view.stage == Stage::finished);
  CHECK(story.view.gravity->value == Approx(1.012).margin(0.0015));
}

TEST_CASE("a sensor that was heard once has no rhythm, and is not silent within a day") {
  const MadeUp batch;
  Tracker tracker(batch.spec());
  tracker.advance(Reading{batch.pitched + hours(1), "hydrometer", Quantity::gravity, 1.050});
  CHECK(tracker.advance(Tick{batch.pitched + hours(25)}).decisions.empty());
  const Outcome later = tracker.advance(Tick{batch.pitched + hours(40)});
  REQUIRE_FALSE(later.decisions.empty());
  CHECK(later.decisions.front().kind == AlertKind::sensor_silent);
  CHECK_FALSE(find(later.decisions.front().evidence, "usual_interval_minutes"));
}
