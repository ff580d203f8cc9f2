#pragma once

#include <optional>
#include <string>

#include "clock/local_time.h"
#include "control_answers.h"
#include "control_client.h"

namespace gyle {

// What the daemon says of itself, its clock among it.
Result<DaemonAnswer> ask_daemon(const ControlClient& daemon);

// The moment that an option gives (clock/local_time.h), by the clock and in the time zone of the daemon,
// which is asked only when the text is not RFC 3339. Errors as of parse_local_time, and of the daemon.
Result<Time> time_option(const std::string& text, TimeSense sense, const ControlClient& daemon);

// The same as RFC 3339; absent when the option is.
Result<std::optional<std::string>> time_query(const std::optional<std::string>& text, TimeSense sense,
                                              const ControlClient& daemon);

}  // namespace gyle
