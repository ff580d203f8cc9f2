#include "control/series_json.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "fake_cellar.h"

using namespace gyle;
using namespace gyle::test;
using Json = nlohmann::ordered_json;

namespace {

const Time kStart = at("2026-03-02T00:00:00Z");  // 1772409600

// A point a minute: gravity falls by 0.1 point each, for so many minutes.
BatchTrace falling(int minutes_long) {
  BatchTrace trace;
  Outcome outcome;
  for (int i = 0; i < minutes_long; ++i) {
    const double gravity = 1.05 - 0.0001 * i;
    outcome.curve.push_back({kStart + minutes(i),
                             gravity + (i % 2 == 0 ? 0.00031 : -0.00031),
                             {gravity, gravity - 0.001, gravity + 0.001},
                             Celsius{18.0},
                             0.1,
                             i < 10 ? Stage::lag : Stage::active});
    outcome.measured.push_back({kStart + minutes(i), Quantity::beer_temperature, 18 + 0.001 * i});
  }
  trace.add(outcome);
  return trace;
}

// Its view knows no gravity, so that the end of the curve is what the curve says.
BatchRecord batch() {
  BatchRecord record = FakeCellar().batches()[1];
  record.view.gravity.reset();
  return record;
}

Json series(const BatchTrace& trace, const SeriesQuery& query = {},
            const std::vector<ReportedAlert>& alerts = {}, const std::vector<Note>& notes = {},
            const BatchRecord& record = batch()) {
  return series_json(record, trace, alerts, notes, query, {});
}

}  // namespace

TEST_CASE("a short curve is complete, in seconds and SG") {
  const Json json = series(falling(20));
  CHECK(json["thinned"] == false);
  REQUIRE(json["time"].size() == 20);
  CHECK(json["time"][0] == 1772409600);
  CHECK(json["time"][1] == 1772409660);
  CHECK(json["gravity"][1].get<double>() == Approx(1.0499).margin(0.002));
  CHECK(json["low"][1] < json["gravity"][1]);
  CHECK(json["gravity"][1] < json["high"][1]);
  CHECK(json["raw"][1] == 1.04959);
  CHECK(json["temperature"]["value"][10] == 18.01);
  CHECK(json["ambient"]["time"].empty());
  CHECK(json["stage"] ==
        Json{{{"time", 1772409600}, {"stage", "lag"}}, {{"time", 1772410200}, {"stage", "active"}}});
  CHECK(json["yeast_range"] == Json{15.0, 24.0});
}

TEST_CASE("a long curve is thinned to the requested size, all its lists together") {
  const BatchTrace trace = falling(5000);
  const auto points = GENERATE(std::size_t{50}, std::size_t{600}, std::size_t{2000});
  const Json json = series(trace, {{}, {}, points});
  CHECK(json["thinned"] == true);
  CHECK(json["time"].size() <= points);
  CHECK(json["time"].size() > points / 3);
  for (const char* name : {"raw", "gravity", "low", "high"}) CHECK(json[name].size() == json["time"].size());
  CHECK(json["time"].front() == 1772409600);
  CHECK(json["time"].back() == 1772409600 + 60 * 4999);
  CHECK(json["temperature"]["time"].size() <= points);
  for (std::size_t i = 0; i < json["time"].size(); ++i) {
    const int minute = (json["time"][i].get<int>() - 1772409600) / 60;
    REQUIRE(json["gravity"][i].get<double>() == Approx(1.05 - 0.0001 * minute).margin(0.0006));
  }
}

TEST_CASE("a part reaches one point beyond its ends") {
  const Json json = series(falling(100), {kStart + minutes(30) + seconds(5), kStart + minutes(40), 600});
  CHECK(json["time"].front() == 1772409600 + 30 * 60);
  CHECK(json["time"].back() == 1772409600 + 41 * 60);
  CHECK(json["temperature"]["time"].size() == 12);
  CHECK(json["stage"].size() == 2);
  const Json after = series(falling(100), {kStart + hours(100), {}, 600});
  CHECK(after["time"].size() == 1);
  CHECK(series(falling(100), {{}, kStart - hours(1), 600})["time"].size() == 1);
  CHECK(series(BatchTrace())["time"].empty());
}

TEST_CASE("a value that is not finite is null") {
  BatchTrace trace;
  Outcome outcome;
  const double none = std::numeric_limits<double>::quiet_NaN();
  outcome.curve = {{kStart, 1.05, {1.05, none, INFINITY}, {}, {}, Stage::lag}};
  trace.add(outcome);
  const Json json = series(trace);
  CHECK(json["low"][0].is_null());
  CHECK(json["high"][0].is_null());
  CHECK(json["gravity"][0] == 1.05);
  // The fake's forecast ends at 1e300, beyond any date: still a number of seconds.
  CHECK(json["forecast"]["final_time"]["value"] == 1772800000.0);
}

TEST_CASE("a hold begins when the one before is over, and is removed when that end is withdrawn") {
  ReportedAlert due = FakeCellar::step_due(1);
  due.decision.time = kStart;
  const Json begun = series(BatchTrace(), {}, {due});
  CHECK(begun["holds"] == Json{{{"step", 1}, {"from", 1772389800}, {"to", 1772409600}, {"celsius", 18.0}},
                               {{"step", 2}, {"from", 1772409600}, {"to", nullptr}, {"celsius", 22.0}}});
  ReportedAlert withdrawn = due;
  withdrawn.decision.state = Decision::State::withdrawn;
  CHECK(series(BatchTrace(), {}, {due, withdrawn})["holds"].size() == 1);
}

TEST_CASE("marks come in order of time, those in between only") {
  BatchTrace trace;
  Outcome outcome;
  outcome.measured = {{kStart + hours(3), Quantity::sample, 1.03}};
  trace.add(outcome);
  ReportedAlert due = FakeCellar::step_due(12);
  due.decision.time = kStart + hours(2);
  BatchRecord record = batch();
  record.packaged = kStart + hours(30);
  const std::vector<Note> notes{{4, kStart + hours(1), "first line\nsecond"},
                                {5, kStart, std::string(1000, 'x')}};
  const Json all = series(trace, {}, {due}, notes, record)["marks"];
  std::vector<std::string> what;
  for (const Json& mark : all) what.push_back(mark["what"]);
  CHECK(what == std::vector<std::string>{"pitch", "note", "note", "alert", "sample", "packaged"});
  CHECK(all[1]["text"].get<std::string>().size() < 310);
  CHECK(all[2]["text"] == "first line\xe2\x80\xa6");
  CHECK(all[3]["kind"] == "step-due");
  CHECK(all[3]["id"] == 12);
  CHECK(all[4]["gravity"] == 1.03);
  CHECK(all[4]["text"] == "Sample: 1.0300.");
  CHECK(series(trace, {kStart + minutes(90), kStart + hours(4), 600}, {due}, notes, record)["marks"].size() ==
        2);
}
