#pragma once

#include <optional>
#include <string_view>

#include "base/time.h"

namespace gyle {

// The reminder that an alert is due for, 0 when none: one, three, seven and fourteen days after its raise,
// then every four weeks; after a snooze counted from its end, at which one is due, too. It is named by the
// minutes from the raise to when it became due: each is another, and the greater the later. What was
// acknowledged is never brought up again.
struct Reminded {
  Time raised;
  bool acknowledged = false;
  std::optional<Time> snoozed_until;
};
int reminder_due(std::string_view kind, const Reminded& alert, Time now);

}  // namespace gyle
