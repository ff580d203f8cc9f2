// What the tracker says of its sensors: one message for one cause.

#include <catch2/catch.hpp>
#include <string>

#include "fermentation/tracker.h"
#include "support/made_up_readings.h"

using namespace gyle;
using test::MadeUp;

namespace {

double hour_of(const Reading& reading) { return in_hours(reading.time - MadeUp{}.pitched); }

struct Story {
  std::vector<Decision> decisions;
  BatchView view;

  std::vector<Decision> of(AlertKind kind) const {
    std::vector<Decision> some;
    for (const Decision& d : decisions) {
      if (d.kind == kind) some.push_back(d);
    }
    return some;
  }
  const SensorHealth& health(const std::string& sensor) const {
    for (const SensorHealth& one : view.sensors) {
      if (one.sensor == sensor) return one;
    }
    throw std::out_of_range(sensor);
  }
};

// The made-up batch, its readings changed or (false) left out, with a clock that ticks every five minutes.
template <class Change>
Story story_of(MadeUp batch, Change change) {
  Tracker tracker(batch.spec());
  Story story;
  const auto feed = [&](const Event& event) {
    const Outcome outcome = tracker.advance(event);
    story.decisions.insert(story.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
  };
  Time tick = batch.pitched;
  for (const Event& event : batch.events()) {
    Reading reading = std::get<Reading>(event);
    for (; tick < reading.time; tick += minutes(5)) feed(Tick{tick});
    if (change(reading)) feed(reading);
    // The hydrometer reports its battery as well, which its own change may take from it.
    if (reading.quantity != Quantity::beer_temperature || reading.sensor != "hydrometer") continue;
    Reading battery{std::get<Reading>(event).time, "hydrometer", Quantity::battery, 4.0};
    if (change(battery)) feed(battery);
  }
  for (; tick < batch.pitched + from_hours(batch.to_h); tick += minutes(5)) feed(Tick{tick});
  story.view = tracker.view();
  return story;
}

bool within(const Reading& reading, double from_h, double to_h) {
  return hour_of(reading) > from_h && hour_of(reading) < to_h;
}

std::string words(const std::vector<Decision>& decisions, Time pitched) {
  std::string all;
  for (const Decision& d : decisions) {
    all += d.state == Decision::State::raised ? "" : "-";
    all += d.sensor + "@" + std::to_string(std::lround(in_hours(d.time - pitched))) + " ";
  }
  return all;
}

}  // namespace

TEST_CASE("when all fall silent at once there is one alert") {
  MadeUp batch;
  SECTION("and all come back: one withdrawal") {
    const Story story = story_of(batch, [](Reading& r) { return !within(r, 60.1, 70); });
    const auto silent = story.of(AlertKind::sensor_silent);
    CHECK(words(silent, batch.pitched) == "hydrometer@62 -hydrometer@70 ");
    CHECK(find(silent.front().evidence, "sensors_silent") == 2.0);
    CHECK_FALSE(story.health("hydrometer").silent);
    CHECK_FALSE(story.health("probe").silent);
  }
  SECTION("and one stays silent: it is reported after its own time") {
    const Story story = story_of(batch, [](Reading& r) {
      return !within(r, 60.1, 70) && !(r.sensor == "probe" && hour_of(r) > 60.1);
    });
    const auto silent = story.of(AlertKind::sensor_silent);
    CHECK(words(silent, batch.pitched) == "hydrometer@62 -hydrometer@70 probe@72 ");
    CHECK_FALSE(find(silent.back().evidence, "sensors_silent"));
    CHECK(*find(silent.back().evidence, "silent_hours") == Approx(12).margin(0.5));
    CHECK(story.health("probe").silent);
  }
  SECTION("and only the one that was not named comes back") {
    const Story story = story_of(batch, [](Reading& r) {
      return !within(r, 60.1, 70) && !(r.sensor == "hydrometer" && hour_of(r) > 60.1);
    });
    CHECK(words(story.of(AlertKind::sensor_silent), batch.pitched) == "hydrometer@62 ");
  }
  SECTION("one that was silent long before has its own alert") {
    const Story story = story_of(
        batch, [](Reading& r) { return !within(r, 60.1, 70) && !(r.sensor == "probe" && hour_of(r) > 30); });
    const auto silent = story.of(AlertKind::sensor_silent);
    CHECK(words(silent, batch.pitched) == "probe@32 hydrometer@62 -hydrometer@70 ");
    CHECK_FALSE(find(silent[1].evidence, "sensors_silent"));
  }
}

TEST_CASE("sensors of different rhythms that fall silent at once are one cause") {
  MadeUp batch;
  const Story story = story_of(batch, [](Reading& r) {
    const bool hourly = std::fmod(hour_of(r), 1.0) < 0.1;
    return !within(r, 60.1, 80) && (r.sensor != "probe" || hourly);
  });
  const auto silent = story.of(AlertKind::sensor_silent);
  CHECK(words(silent, batch.pitched) == "hydrometer@62 -hydrometer@80 ");
}

TEST_CASE("a silent sensor has no other alert") {
  MadeUp batch;
  batch.freezes_at_h = 57;  // frozen too short to be called so before it falls silent
  const Story story = story_of(batch, [](Reading& r) { return r.sensor != "hydrometer" || hour_of(r) < 66; });
  CHECK(words(story.of(AlertKind::sensor_silent), batch.pitched) == "hydrometer@68 ");
  CHECK(story.of(AlertKind::sensor_frozen).empty());
  CHECK(story.of(AlertKind::sensor_implausible).empty());
}

TEST_CASE("the alert of a silent sensor has its empty battery") {
  MadeUp batch;
  const bool sudden = GENERATE(false, true);
  CAPTURE(sudden);
  // 0.05 V a day from 3.6 V: forecast days before, nearly empty (3.45 V) at 72 h, gone at 80 h. Or as new.
  const Story story = story_of(batch, [&](Reading& r) {
    if (r.quantity == Quantity::battery) r.value = sudden ? 4.0 : 3.6 - 0.05 * hour_of(r) / 24;
    return r.sensor != "hydrometer" || hour_of(r) < 80;
  });
  const auto silent = story.of(AlertKind::sensor_silent);
  REQUIRE(words(silent, batch.pitched) == "hydrometer@82 ");
  const auto volt = find(silent.front().evidence, "battery_volt");
  const auto low = story.of(AlertKind::battery_low);
  if (sudden) {
    CHECK_FALSE(volt);
    CHECK(low.empty());
  } else {
    CHECK(*volt == Approx(3.434).margin(0.01));
    REQUIRE(low.size() == 1);  // said once, and nothing more once it was silent
    CHECK(in_hours(low.front().time - batch.pitched) < 60);
    CHECK(story.health("hydrometer").battery_low);
  }
}

TEST_CASE(
    "a battery that will not last until the batch is done is said in time, and taken back when changed") {
  MadeUp batch;
  // 0.1 V a day from 4.1 V: nearly empty after 6.5 days, the beer is done after 6; later it is charged.
  const Story story = story_of(batch, [&](Reading& r) {
    const double hour = hour_of(r);
    if (r.quantity == Quantity::battery) r.value = hour < 150 ? 4.1 - 0.1 * hour / 24 : 4.1;
    return true;
  });
  const auto low = story.of(AlertKind::battery_low);
  REQUIRE(words(low, batch.pitched).find("-hydrometer@15") != std::string::npos);
  const double said_h = in_hours(low.front().time - batch.pitched);
  CHECK(said_h < 80);
  CHECK(*find(low.front().evidence, "days_left") == Approx((156 - said_h) / 24).margin(0.5));
  CHECK(*find(low.front().evidence, "battery_volt") > 3.6);
  CHECK(low.size() == 2);
}

TEST_CASE("a battery that lasts is not mentioned") {
  MadeUp batch;
  batch.to_h = 400;
  const Story story = story_of(batch, [&](Reading& r) {
    if (r.quantity == Quantity::battery) r.value = std::round(410 - 1.0 * hour_of(r) / 24) / 100;
    return true;
  });
  CHECK(story.of(AlertKind::battery_low).empty());
  REQUIRE(story.health("hydrometer").battery_days);
  // The truth: (4.1 - 3.45) / 0.01 days in all, of which 16.7 have gone.
  CHECK(story.health("hydrometer").battery_days->value == Approx(65 - 400.0 / 24).epsilon(0.2));
}

TEST_CASE("a wrong clock is reported, and by how much it is off") {
  MadeUp batch;
  const auto by = GENERATE(hours(-5), hours(30), hours(-24 * 9000));
  CAPTURE(by.count());
  const Story story = story_of(batch, [&](Reading& r) {
    if (r.sensor == "hydrometer" && within(r, 60, 80)) r.time += by;
    return true;
  });
  const auto said = story.of(AlertKind::sensor_implausible);
  REQUIRE(said.size() == 2);
  CHECK(in_hours(said[0].time - batch.pitched) == Approx(61).margin(0.6));
  CHECK(in_hours(said[1].time - batch.pitched) == Approx(81).margin(1.5));
  CHECK(*find(said.front().evidence, "clock_off_hours") == Approx(in_hours(by)).margin(0.3));
  CHECK(story.of(AlertKind::sensor_silent).empty());
  CHECK_FALSE(story.health("hydrometer").clock_off);
}

TEST_CASE("readings that were kept through an outage are no sign of a wrong clock") {
  MadeUp batch;
  Tracker tracker(batch.spec());
  std::vector<Event> kept, others;
  for (const Event& event : batch.events()) {
    const auto& reading = std::get<Reading>(event);
    (reading.sensor == "hydrometer" && within(reading, 60, 80) ? kept : others).push_back(event);
  }
  bool given = false;
  for (const Event& event : others) {
    if (!given && hour_of(std::get<Reading>(event)) >= 80) {
      for (const Event& late : kept) tracker.advance(late);
      given = true;
    }
    for (const Decision& d : tracker.advance(event).decisions) CHECK(d.kind != AlertKind::sensor_implausible);
  }
}

TEST_CASE("messages that do not arrive are counted") {
  MadeUp batch;
  int number = 0;
  const Story story = story_of(batch, [&](Reading& r) {
    if (r.sensor != "hydrometer") return true;
    if (r.quantity == Quantity::gravity) ++number;
    return number % 4 != 0;
  });
  CHECK(*story.health("hydrometer").arrived_share == Approx(0.75).margin(0.03));
  CHECK(story.health("hydrometer").longest_gap == minutes(30));
  CHECK(*story.health("probe").arrived_share > 0.97);
}

TEST_CASE("an outdated temperature raises no alert") {
  MadeUp batch;
  SECTION("raised, then the hydrometer falls silent: withdrawn as unknown, not as back in range") {
    const Story story = story_of(batch, [](Reading& r) {
      if (r.quantity == Quantity::beer_temperature && hour_of(r) > 60) r.value = 26;
      return r.sensor != "hydrometer" || hour_of(r) < 70;
    });
    const auto range = story.of(AlertKind::temperature_out_of_range);
    REQUIRE(range.size() == 2);
    CHECK(range[1].state == Decision::State::withdrawn);
    CHECK(*find(range[1].evidence, "unknown_hours") == Approx(12).margin(0.5));
    CHECK(*find(range[1].evidence, "temperature_celsius") == Approx(26).margin(0.2));
  }
  SECTION("out of range for too short a time before: no alert about the temperature") {
    const Story story = story_of(batch, [](Reading& r) {
      if (r.quantity == Quantity::beer_temperature && hour_of(r) > 60) r.value = 25;
      return r.sensor != "hydrometer" || hour_of(r) < 61.9;
    });
    CHECK(story.of(AlertKind::temperature_out_of_range).empty());
    CHECK(words(story.of(AlertKind::sensor_silent), batch.pitched) == "hydrometer@64 ");
  }
}

TEST_CASE("a temperature at the edge of its range does not flap") {
  MadeUp batch;
  // 23 degC is the most; it swings by 0.7 K around 23.5 with a period of two hours.
  const Story story = story_of(batch, [](Reading& r) {
    if (r.quantity == Quantity::beer_temperature && hour_of(r) > 60) {
      r.value = 23.9 + 1.6 * std::sin(hour_of(r) * 3.14159);
    }
    return true;
  });
  CHECK(story.of(AlertKind::temperature_out_of_range).size() <= 1);
}

TEST_CASE("after a silent hydrometer the gravity is outdated: no rate, no forecast") {
  const double silent_from = GENERATE(60.0, 230.0);  // on its way; found stable
  const double silent_h = GENERATE(5.0, 96.0);
  MadeUp batch;
  batch.to_h = silent_from + silent_h;
  const Story story = story_of(batch, [&](Reading& reading) {
    return reading.quantity != Quantity::gravity || !within(reading, silent_from, 1e6);
  });
  const BatchView& view = story.view;
  REQUIRE(view.known);
  CHECK(in_hours(*view.known - batch.pitched) == Approx(silent_from).margin(0.5));
  const bool old = silent_h > 6;
  CHECK(view.old_at(view.time) == old);
  CHECK(view.old_at(view.time + days(1)));  // the clock of events may stand still
  CHECK(view.gravity.has_value());
  CHECK(view.rate_points_per_day.has_value() == !old);
  CHECK(view.forecast.final_time.has_value() == !old);
  if (old) CHECK_FALSE(view.forecast.step_time);
  CHECK(view.final_gravity_since.has_value() == (silent_from > 200));
}

TEST_CASE("a hand sample makes the gravity current again, for a day") {
  MadeUp batch;
  batch.to_h = 230 + 96;
  Tracker tracker(batch.spec());
  for (const Event& event : batch.events()) {
    if (hour_of(std::get<Reading>(event)) < 230) tracker.advance(event);
  }
  const Time late = batch.pitched + hours(230 + 96);
  tracker.advance(Tick{late});
  CHECK(tracker.view().old_at(late));
  CHECK_FALSE(tracker.outlook({}).ready_time);
  tracker.advance(Reading{late, "hand:left", Quantity::sample, 1 + batch.points_at(326) / 1000});
  CHECK(*tracker.view().known == late);
  CHECK_FALSE(tracker.view().old_at(late + hours(23)));
  CHECK(tracker.view().old_at(late + hours(25)));
  CHECK(tracker.outlook({}).ready_time);
}
