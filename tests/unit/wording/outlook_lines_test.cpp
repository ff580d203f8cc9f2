#include "wording/outlook_lines.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"

using namespace gyle;
using Lines = std::vector<std::string>;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

Outlook planned() {
  Outlook outlook{};
  outlook.forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
  outlook.forecast.final_time =
      TimeInterval{at("2026-03-11T12:00:00Z"), at("2026-03-10T12:00:00Z"), at("2026-03-12T12:00:00Z")};
  outlook.ready_time =
      TimeInterval{at("2026-03-13T12:00:00Z"), at("2026-03-12T12:00:00Z"), at("2026-03-14T12:00:00Z")};
  return outlook;
}

}  // namespace

TEST_CASE("the outlook has the final gravity and its time") {
  CHECK(
      outlook_lines({}, {}, {}, planned(), {}, {}, {}) ==
      Lines{
          "Final gravity: about 1.0115, between 1.0102 and 1.0131.",
          "Reached: about Wed 11 Mar 12:00, between Tue 10 Mar and Thu 12 Mar.",
          "Stable for 48 h and ready to package: about Fri 13 Mar 12:00, between Thu 12 Mar and Sat 14 Mar.",
          "Each interval holds the truth in 8 of 10 cases."});
}

TEST_CASE("one time for the end: a hold until final gravity has no other") {
  BatchSpec batch;
  batch.plan = {{Celsius{17}, UntilProgress{0.75}}, {Celsius{20}, UntilFinalGravity{}}};
  Outlook outlook = planned();
  const auto holds = [&] {
    int count = 0;
    for (const std::string& line : outlook_lines(batch, {}, {}, outlook, {}, {}, {}))
      count += line.starts_with("Hold ");
    return count;
  };
  outlook.forecast.step_time = outlook.forecast.final_time;
  outlook.forecast.step = 1;
  CHECK(holds() == 1);
  outlook.forecast.step = 2;
  CHECK(holds() == 0);
  outlook.ready_time.reset();
  CHECK(holds() == 1);
}

TEST_CASE("a supposed hold shows the difference, the chance, and a warning outside the yeast's range") {
  Outlook warmer = planned();
  warmer.ready_time =
      TimeInterval{at("2026-03-13T03:00:00Z"), at("2026-03-12T12:00:00Z"), at("2026-03-13T15:00:00Z")};
  warmer.chance_ready = 0.71;
  const WhatIf question{HypotheticalHold{Celsius{26}, at("2026-03-09T18:00:00Z")},
                        at("2026-03-14T18:00:00Z")};
  const Lines lines = outlook_lines({}, {}, question, planned(), warmer, {}, {});
  REQUIRE(lines.size() == 11);
  CHECK(lines[4] == "Held at 26 °C from Mon 9 Mar 18:00 on:");
  CHECK(lines[7] ==
        "  Stable for 48 h and ready to package: about Fri 13 Mar 03:00, between Thu 12 Mar 12:00 and Fri 13 "
        "Mar "
        "15:00.");
  CHECK(lines[8] == "  Ready by Sat 14 Mar 18:00 in 7 of 10 cases.");
  CHECK(lines[9] == "That is about 9 h sooner than as planned.");
  CHECK(lines[10] == "26 °C is outside its yeast's range, 15 to 24 °C: the forecast is less sure there.");
}

TEST_CASE("unknown values are left out") {
  CHECK(show_span({Time{}, Time{}, Time::max()}, {}).empty());
  CHECK(show_span({Time(seconds(1)), Time(seconds(2)), Time(seconds(1))}, {}).empty());
  CHECK(outlook_lines({}, {}, {}, {}, {}, {}, {}) == Lines{"When it will be ready cannot be said yet."});
  CHECK(show_chance(0.0) == "in fewer than 1 of 20 cases");
  CHECK(show_chance(0.06) == "in 1 of 10 cases");
  CHECK(show_chance(1.0) == "in more than 19 of 20 cases");
}

TEST_CASE("a batch with a silent hydrometer has no forecast") {
  BatchView view;
  view.known = at("2026-03-05T18:20:00Z");
  view.current_until = at("2026-03-06T00:20:00Z");
  CHECK(outlook_lines({}, view, {}, planned(), {}, {}, at("2026-03-06T00:00:00Z")).size() > 1);
  CHECK(outlook_lines({}, view, {}, planned(), {}, {}, at("2026-03-09T18:00:00Z")) ==
        Lines{"Its gravity has not been known since Thu 5 Mar 18:20: nothing can be said of what comes. See "
              "to its "
              "hydrometer, or measure a sample."});
}
