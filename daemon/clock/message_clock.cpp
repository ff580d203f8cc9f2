#include "clock/message_clock.h"

namespace gyle {

Time MessageClock::now() const { return Time(Duration(now_ms_.load())); }

void MessageClock::observe(Time stamp) {
  const Time before = now();
  const bool first = before == Time{};
  if (stamp > before && (first || stamp - before <= days(60))) now_ms_ = stamp.time_since_epoch().count();
}

}  // namespace gyle
