#pragma once

#include <optional>
#include <string>

#include "base/time.h"

namespace gyle {

// What systemd is told about this process; all of it does nothing when systemd did not start us.
namespace systemd {

void ready();
void reloading();
void stopping();
void status(const std::string& one_line);
void feed_watchdog();

// How often the watchdog wants to be fed (half of what it tolerates), if there is one.
std::optional<Duration> watchdog_interval();

}  // namespace systemd
}  // namespace gyle
