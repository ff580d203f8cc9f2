#pragma once

#include <optional>
#include <string>

#include "base/time.h"

namespace gyle {

// Notifies systemd of the state of this process; does nothing when systemd did not start it.
namespace systemd {

void ready();
void reloading();
void stopping();
void status(const std::string& one_line);
void feed_watchdog();

// How often the watchdog must be fed (half of its timeout), if there is one.
std::optional<Duration> watchdog_interval();

}  // namespace systemd
}  // namespace gyle
