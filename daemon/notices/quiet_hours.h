#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "base/time.h"
#include "fermentation/decision.h"

namespace gyle {

// The local hours in which only urgent alerts are sent. May span midnight.
struct QuietHours {
  std::chrono::minutes from{0};  // since local midnight
  std::chrono::minutes until{0};
  bool none() const { return from == until; }
};

// When people are left alone.
struct Calm {
  QuietHours quiet;
  Severity urgent = Severity::critical;  // and worse: sent at any hour
};

// "22:00-07:00"; "" for none. Errc::malformed.
Result<QuietHours> parse_quiet_hours(std::string_view text);
// "07:30", minutes since midnight; Errc::malformed.
Result<std::chrono::minutes> parse_time_of_day(std::string_view text);

// When the quiet hours around `time` end; nothing when `time` is outside them. `zone` is an IANA name; an
// unknown one means UTC. Local time counts: where clocks change, the night is an hour shorter or longer, and
// an end that clocks skip is the moment of the change.
std::optional<Time> quiet_until(const QuietHours& quiet_hours, Time time, const std::string& zone);

// The latest moment, at or before `time`, at which local clocks showed `of_day`.
Time last_time_of_day(std::chrono::minutes of_day, Time time, const std::string& zone);

}  // namespace gyle
