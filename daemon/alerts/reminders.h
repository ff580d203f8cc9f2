#pragma once

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

// The number of the reminder that an alert is due for, 0 when none: after one day, three, seven, fourteen,
// then every four weeks; and once when a snooze ends. What was acknowledged is never brought up again.
struct Reminded {
  Time raised;
  bool acknowledged = false;
  std::optional<Time> snoozed_until;
};
int reminder_due(std::string_view kind, const Reminded& alert, Time now);

}  // namespace gyle
