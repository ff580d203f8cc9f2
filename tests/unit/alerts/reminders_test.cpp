#include "alerts/reminders.h"

#include <catch2/catch.hpp>
#include <set>

#include "base/rfc3339.h"

using namespace gyle;

namespace {
const Time kRaised = parse_rfc3339("2026-03-01T18:30:00Z").value();
}

TEST_CASE("reminders become less frequent") {
  const Reminded alert{kRaised, false, {}};
  std::vector<int> days_of_reminders;
  int last = 0;
  for (int hour = 0; hour <= 24 * 100; ++hour) {
    const int now = reminder_due("stuck", alert, kRaised + hours(hour));
    CHECK(now >= last);
    if (now != last) days_of_reminders.push_back(hour / 24);
    last = now;
  }
  CHECK(days_of_reminders == std::vector<int>{1, 3, 7, 14, 42, 70, 98});
}

TEST_CASE("alerts that need no action get no reminder") {
  CHECK(reminder_due("fermentation-started", {kRaised, false, {}}, kRaised + days(30)) == 0);
  CHECK(reminder_due("step-due", {kRaised, false, {}}, kRaised + days(30)) == 0);
  CHECK(reminder_due("watcher-restarted", {kRaised, false, {}}, kRaised + days(30)) == 0);
  CHECK(reminder_due("step-not-held", {kRaised, false, {}}, kRaised + days(2)) == 24 * 60);
}

TEST_CASE("an acknowledged alert gets no reminder, a snoozed one when the snooze ends") {
  CHECK(reminder_due("stuck", {kRaised, true, {}}, kRaised + days(30)) == 0);
  const Time until = kRaised + days(2) + hours(14);
  const Reminded snoozed{kRaised, false, until};
  CHECK(reminder_due("stuck", snoozed, until - minutes(1)) == 0);
  std::set<int> numbers;
  for (int day = 0; day < 60; ++day)
    numbers.insert(reminder_due("stuck", {kRaised, false, {}}, kRaised + days(day)));
  const auto is_new = [&](int number) { return number > 0 && numbers.insert(number).second; };
  CHECK(is_new(reminder_due("stuck", snoozed, until)));
  CHECK_FALSE(is_new(reminder_due("stuck", snoozed, until + hours(5))));
  CHECK(is_new(reminder_due("stuck", snoozed, until + days(1))));
  const Reminded again{kRaised, false, until + days(2)};
  CHECK(is_new(reminder_due("stuck", again, until + days(2))));
}
