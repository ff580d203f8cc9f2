#include "fermentation/continuity.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "fermentation/alert_ledger.h"

using namespace gyle;

namespace {

const Time kNow = Time(hours(1000));

Decision decided(AlertKind kind, Decision::State state, int occurrence, int hour) {
  return {Time(hours(hour)), kind, state, occurrence, {}, "", {}};
}
constexpr auto kRaised = Decision::State::raised;
constexpr auto kWithdrawn = Decision::State::withdrawn;

// Which alerts are open after all of it, as a reader of the reports sees it.
std::vector<AlertTopic> open(const std::vector<Decision>& reported) {
  std::vector<AlertTopic> topics;
  for (const Decision& one : reported) {
    const auto place = std::find(topics.begin(), topics.end(), topic_of(one));
    if (one.state == kRaised) {
      CHECK(place == topics.end());  // never twice without a withdrawal between
      topics.push_back(topic_of(one));
    } else {
      REQUIRE(place != topics.end());  // never without a raise before
      topics.erase(place);
    }
  }
  std::sort(topics.begin(), topics.end());
  return topics;
}

}  // namespace

TEST_CASE("an alert that was open and still is, is not reported again") {
  const std::vector reported{decided(AlertKind::stuck, kRaised, 1, 10),
                             decided(AlertKind::stuck, kWithdrawn, 1, 20),
                             decided(AlertKind::stuck, kRaised, 2, 30)};
  const std::vector latest{decided(AlertKind::stuck, kRaised, 1, 12)};
  const Sequel next = sequel(reported, latest, kNow);
  CHECK(next.to_report.empty());
  // Its withdrawal will be of the one that the brewer knows.
  CHECK(next.continuity.placed(decided(AlertKind::stuck, kWithdrawn, 1, 1001)).occurrence == 2);
  CHECK(next.continuity.resumes_after == kNow);
}

TEST_CASE("an alert that is not open in the new judgement is withdrawn") {
  const std::vector reported{decided(AlertKind::final_gravity_stable, kRaised, 1, 10)};
  const Sequel next = sequel(reported, {}, kNow);
  REQUIRE(next.to_report.size() == 1);
  CHECK(next.to_report[0].state == kWithdrawn);
  CHECK(next.to_report[0].time == kNow);
  CHECK(find(next.to_report[0].evidence, "corrected") == 1);
  // If it becomes so after all it is a second one.
  CHECK(next.continuity.placed(decided(AlertKind::final_gravity_stable, kRaised, 1, 1001)).occurrence == 2);
}

TEST_CASE("an alert that is open in the new judgement, but was withdrawn or never reported, is reported") {
  const std::vector reported{decided(AlertKind::stuck, kRaised, 1, 10),
                             decided(AlertKind::stuck, kWithdrawn, 1, 20)};
  const std::vector latest{decided(AlertKind::stuck, kRaised, 1, 10),
                           decided(AlertKind::step_due, kRaised, 3, 15)};
  const Sequel next = sequel(reported, latest, kNow);
  REQUIRE(next.to_report.size() == 2);
  CHECK(next.to_report[0].kind == AlertKind::stuck);
  CHECK(next.to_report[0].occurrence == 2);
  CHECK(next.to_report[0].time == Time(hours(10)));  // since when it is so
  CHECK(next.to_report[1].kind == AlertKind::step_due);
  CHECK(next.to_report[1].occurrence == 1);
}

TEST_CASE(
    "whatever was reported and is decided, exactly the alerts of the new judgement are open afterwards, and "
    "a "
    "repetition "
    "tells nothing more") {
  // All ways in which two alerts can have come and gone, up to three changes each.
  const std::vector<AlertKind> kinds{AlertKind::stuck, AlertKind::slow_start};
  const auto history = [&](int code) {
    AlertLedger ledger;
    std::vector<Decision> decisions;
    for (int hour = 1; code > 0; code /= 5, ++hour) {
      const AlertKind kind = kinds[static_cast<std::size_t>(code % 5 % 2)];
      if (code % 5 < 2)
        ledger.raise(Time(hours(hour)), kind, {}, decisions);
      else
        ledger.withdraw(Time(hours(hour)), kind, {}, decisions);
    }
    return decisions;
  };
  for (int a = 0; a < 625; ++a) {
    for (int b = 0; b < 625; b += 7) {
      std::vector<Decision> reported = history(a);
      const std::vector<Decision> latest = history(b);
      const Sequel next = sequel(reported, latest, kNow);
      reported.insert(reported.end(), next.to_report.begin(), next.to_report.end());
      REQUIRE(open(reported) == open(latest));
      const Sequel again = sequel(reported, latest, kNow);
      REQUIRE(again.to_report.empty());
      REQUIRE(again.continuity.shifts == next.continuity.shifts);
      // What the new judgement decides next is neither known already nor of one that does not stand.
      AlertLedger ledger;
      for (const Decision& one : latest) {
        std::vector<Decision> ignored;
        if (one.state == kRaised)
          ledger.raise(one.time, one.kind, {}, ignored);
        else
          ledger.withdraw(one.time, one.kind, {}, ignored);
      }
      for (const AlertKind kind : kinds) {
        std::vector<Decision> further;
        ledger.raise(kNow, kind, {}, further);
        ledger.withdraw(kNow, kind, {}, further);
        ledger.raise(kNow, kind, {}, further);
        for (Decision one : further) {
          one = next.continuity.placed(one);
          const bool known = std::any_of(reported.begin(), reported.end(), [&](const Decision& t) {
            return topic_of(t) == topic_of(one) && t.occurrence == one.occurrence && t.state == one.state;
          });
          REQUIRE_FALSE(known);
          reported.push_back(one);
        }
      }
      open(reported);
    }
  }
}
