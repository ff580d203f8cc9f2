#pragma once

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

// The latest reminder due for an alert, as its number; 0: none.
//   when     1, 3, 7 and 14 days after the alert was raised, then every four weeks
//   snooze   the same, counted from its end, and one at its end
//   number   minutes from the raise until the reminder became due: unique per alert, and ascending
//   never    for acknowledged alerts, and kinds that need no action
//   tests    unit/alerts/reminders_test.cpp
struct Reminded {
  Time raised;
  bool acknowledged = false;
  std::optional<Time> snoozed_until;
};
int reminder_due(std::string_view kind, const Reminded& alert, Time now);

}  // namespace gyle
