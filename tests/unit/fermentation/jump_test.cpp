// Additions, and jumps of what the hydrometer shows.

#include <catch2/catch.hpp>
#include <functional>

#include "fermentation/tracker.h"
#include "support/made_up_readings.h"

using namespace gyle;
using test::MadeUp;

namespace {

struct Story {
  std::vector<Decision> decisions;
  std::vector<CurvePoint> curve;
  BatchView view;

  int raised(AlertKind kind) const {
    int n = 0;
    for (const Decision& d : decisions) n += d.kind == kind && d.state == Decision::State::raised ? 1 : 0;
    return n;
  }
  int withdrawn(AlertKind kind) const {
    int n = 0;
    for (const Decision& d : decisions) n += d.kind == kind && d.state == Decision::State::withdrawn ? 1 : 0;
    return n;
  }
  const Decision* first(AlertKind kind) const {
    for (const Decision& d : decisions) {
      if (d.kind == kind) return &d;
    }
    return nullptr;
  }
};

using Shown = std::function<double(double hour, double points)>;

void feed(Tracker& tracker, const std::vector<Event>& events, Story& story) {
  for (const Event& event : events) {
    const Outcome out = tracker.advance(event);
    story.decisions.insert(story.decisions.end(), out.decisions.begin(), out.decisions.end());
    story.curve.insert(story.curve.end(), out.curve.begin(), out.curve.end());
  }
  story.view = tracker.view();
}

std::vector<Event> shown(const MadeUp& batch, const Shown& change) {
  std::vector<Event> events = batch.events();
  for (Event& event : events) {
    auto* reading = std::get_if<Reading>(&event);
    if (reading == nullptr || reading->quantity != Quantity::gravity) continue;
    const double hour = in_hours(reading->time - batch.pitched);
    reading->value = 1 + change(hour, (reading->value - 1) * 1000) / 1000;
  }
  return events;
}

Story story_of(const MadeUp& batch, const Shown& change, std::vector<Addition> additions = {}) {
  BatchSpec spec = batch.spec();
  spec.volume_l = 12;
  spec.additions = std::move(additions);
  Tracker tracker(spec);
  Story story;
  feed(tracker, shown(batch, change), story);
  return story;
}

double worst_after(const Story& story, const MadeUp& batch, double from_h,
                   const std::function<double(double)>& truth) {
  double worst = 0;
  for (const CurvePoint& point : story.curve) {
    const double hour = in_hours(point.time - batch.pitched);
    if (hour < from_h) continue;
    worst = std::max(worst, std::abs((point.gravity.value - 1) * 1000 - truth(hour)));
  }
  return worst;
}

}  // namespace

TEST_CASE("a hydrometer that is knocked is asked about once, and its offset follows") {
  const double by = GENERATE(5.0, -5.0);
  CAPTURE(by);
  MadeUp batch;
  batch.to_h = 300;
  const auto knocked = [&](double hour, double points) { return points + (hour > 70 ? by : 0); };
  const Story story = story_of(batch, knocked);
  CHECK(story.raised(AlertKind::gravity_jumped) == 1);
  CHECK(story.raised(AlertKind::stuck) == 0);
  CHECK(story.raised(AlertKind::over_attenuated) == 0);
  const Decision* asked = story.first(AlertKind::gravity_jumped);
  REQUIRE(asked != nullptr);
  CHECK(asked->sensor == "hydrometer");
  CHECK(find(asked->evidence, "change_points").value() == Approx(by).margin(1.5));
  const double at_h =
      find(asked->evidence, "jump_time").value() / 3600 - in_hours(batch.pitched.time_since_epoch());
  CHECK(at_h == Approx(70).margin(2));
  CHECK(in_hours(asked->time - batch.pitched) < 80);
  REQUIRE(story.view.offset);
  CHECK(story.view.offset->value.value == Approx(by).margin(1.5));
  CHECK(worst_after(story, batch, 145, [&](double hour) { return batch.points_at(hour); }) < 2.0);
}

TEST_CASE("foam that lifts the hydrometer for a day leaves no offset") {
  MadeUp batch;
  batch.to_h = 260;
  const Story story =
      story_of(batch, [](double hour, double points) { return points + (hour > 60 && hour < 84 ? 5 : 0); });
  CHECK(story.raised(AlertKind::gravity_jumped) <= 1);
  CHECK(story.withdrawn(AlertKind::gravity_jumped) == story.raised(AlertKind::gravity_jumped));
  REQUIRE(story.view.offset);
  CHECK(std::abs(story.view.offset->value.value) < 1.5);
}

TEST_CASE("dry hops explain a jump") {
  MadeUp batch;
  batch.to_h = 300;
  const auto lifted = [](double hour, double points) { return points + (hour > 80 ? 4 : 0); };
  const Story story =
      story_of(batch, lifted, {{AdditionKind::dry_hops, batch.pitched + from_hours(79.5), 0.06, 0}});
  CHECK(story.raised(AlertKind::gravity_jumped) == 0);
  CHECK(story.raised(AlertKind::stuck) == 0);
  REQUIRE(story.view.offset);
  CHECK(story.view.offset->value.value == Approx(4).margin(1.5));
  // At once, not after days.
  CHECK(worst_after(story, batch, 84, [&](double hour) { return batch.points_at(hour); }) < 2.0);
}

TEST_CASE("water moves original and final gravity") {
  MadeUp batch;
  batch.to_h = 300;
  const Addition water{AdditionKind::water, batch.pitched + from_hours(60), 3, 0};
  const auto truth = [&](double hour) { return batch.points_at(hour) * (hour > 60 ? 0.8 : 1); };
  const Story story =
      story_of(batch, [](double hour, double points) { return points * (hour > 60 ? 0.8 : 1); }, {water});
  CHECK(story.raised(AlertKind::gravity_jumped) == 0);
  CHECK(story.raised(AlertKind::stuck) == 0);
  CHECK(story.view.original_gravity.value() == Approx(1.040).margin(0.0015));
  CHECK(worst_after(story, batch, 63, truth) < 2.0);
  REQUIRE(story.raised(AlertKind::final_gravity_stable) == 1);
  CHECK(find(story.first(AlertKind::final_gravity_stable)->evidence, "final_gravity_sg").value() ==
        Approx(1.0096).margin(0.0012));
}

TEST_CASE("sugar moves original and expected gravity, and nothing is called stuck") {
  MadeUp batch;
  batch.to_h = 420;
  const double at_h = GENERATE(60.0, 150.0);
  CAPTURE(at_h);
  const Addition sugar{AdditionKind::sugar, batch.pitched + from_hours(at_h), 0.25, 0};
  const AdditionEffect effect = effect_of(sugar, 12);
  const auto with = [&](double hour, double points) {
    if (hour <= at_h) return points;
    return effect.keep * points + effect.points - effect.sugar_fall * (1 - std::exp(-(hour - at_h) / 22));
  };
  const Story story = story_of(batch, with, {sugar});
  CHECK(story.raised(AlertKind::gravity_jumped) == 0);
  CHECK(story.raised(AlertKind::stuck) == 0);
  CHECK(story.raised(AlertKind::over_attenuated) == 0);
  CHECK(story.view.original_gravity.value() ==
        Approx(1 + (50 * effect.keep + effect.points) / 1000).margin(0.0015));
  CHECK(worst_after(story, batch, at_h + 3, [&](double hour) { return with(hour, batch.points_at(hour)); }) <
        2.5);
  CHECK(story.view.final_gravity_since);
  // Hours after it the forecast knows that the sugar will ferment.
  BatchSpec spec = batch.spec();
  spec.volume_l = 12;
  spec.additions = {sugar};
  Tracker tracker(spec);
  std::vector<Event> events = shown(batch, with);
  std::erase_if(events, [&](const Event& event) {
    return std::get<Reading>(event).time > batch.pitched + from_hours(at_h + 12);
  });
  Story begun;
  feed(tracker, events, begun);
  REQUIRE(begun.view.forecast.final_gravity);
  const double expected = 1 + with(420, batch.points_at(420)) / 1000;
  CHECK(begun.view.forecast.final_gravity->value == Approx(expected).margin(0.003));
  REQUIRE(begun.view.forecast.final_time);
  CHECK(in_hours(begun.view.forecast.final_time->value - batch.pitched) > at_h + 24);
}

TEST_CASE("an addition in the description changes nothing before its time") {
  const MadeUp batch;
  BatchSpec spec = batch.spec();
  spec.volume_l = 12;
  Tracker plain(spec);
  spec.additions = {{AdditionKind::sugar, batch.pitched + from_hours(100), 0.3, 0}};
  Tracker later(spec);
  for (const Event& event : batch.events()) {
    if (std::get<Reading>(event).time >= batch.pitched + from_hours(100)) break;
    const Outcome a = plain.advance(event), b = later.advance(event);
    REQUIRE(a.curve.size() == b.curve.size());
    for (std::size_t i = 0; i < a.curve.size(); ++i)
      REQUIRE(a.curve[i].gravity.value == b.curve[i].gravity.value);
  }
}

TEST_CASE("a copy of a tracker goes on alike across an addition and a jump") {
  MadeUp batch;
  batch.to_h = 200;
  BatchSpec spec = batch.spec();
  spec.volume_l = 12;
  spec.additions = {{AdditionKind::sugar, batch.pitched + from_hours(60), 0.25, 0}};
  const auto events = shown(batch, [](double hour, double points) { return points + (hour > 90 ? 5 : 0); });
  Tracker whole(spec);
  std::optional<Tracker> copy;
  for (std::size_t i = 0; i < events.size(); ++i) {
    // Copied now and then, and the original thrown away.
    if (i % 97 == 0) copy = copy ? Tracker(*copy) : Tracker(whole);
    const Outcome a = whole.advance(events[i]), b = copy->advance(events[i]);
    REQUIRE(a.decisions.size() == b.decisions.size());
    REQUIRE(a.curve.size() == b.curve.size());
    for (std::size_t k = 0; k < a.curve.size(); ++k)
      REQUIRE(a.curve[k].gravity.value == b.curve[k].gravity.value);
  }
}

TEST_CASE("of a beer that goes further than its yeast should no end is given") {
  MadeUp batch;
  batch.to_h = 400;
  // From the end on it creeps by a point a day.
  const auto wild = [&](double hour, double points) { return points - std::max(0.0, (hour - 110) / 24); };
  std::vector<Event> events = shown(batch, wild);
  Tracker tracker(batch.spec());
  bool open = false;
  int open_rows = 0;
  for (const Event& event : events) {
    const Outcome out = tracker.advance(event);
    for (const Decision& d : out.decisions) {
      if (d.kind == AlertKind::over_attenuated) open = d.state == Decision::State::raised;
    }
    for (const Forecast& row : out.forecasts) {
      if (!open) continue;
      ++open_rows;
      CHECK(row.end_unknown);
      CHECK(!row.final_gravity);
      CHECK(!row.final_time);
    }
  }
  REQUIRE(open);
  CHECK(open_rows > 5);
  const BatchView view = tracker.view();
  CHECK(std::any_of(view.reasons.begin(), view.reasons.end(),
                    [](const Reason& reason) { return reason.finding == Finding::end_unknown; }));
  CHECK(!tracker.outlook({}).ready_time);
}
