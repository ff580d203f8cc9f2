#include "app/systemd_notify.h"

#include <systemd/sd-daemon.h>

namespace gyle::systemd {

void ready() { sd_notify(0, "READY=1"); }
void reloading() { sd_notify(0, "RELOADING=1"); }
void stopping() { sd_notify(0, "STOPPING=1"); }
void status(const std::string& one_line) { sd_notify(0, ("STATUS=" + one_line).c_str()); }
void feed_watchdog() { sd_notify(0, "WATCHDOG=1"); }

std::optional<Duration> watchdog_interval() {
  std::uint64_t tolerated_us = 0;
  if (sd_watchdog_enabled(0, &tolerated_us) <= 0) return std::nullopt;
  return Duration(static_cast<Duration::rep>(tolerated_us / 2000));
}

}  // namespace gyle::systemd
