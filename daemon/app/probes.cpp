#include "app/probes.h"

#include <sys/timex.h>

#include "app/machine.h"
#include "clock/system_clock.h"

namespace gyle {
namespace {

constexpr long kUnsynchronised_us = 16'000'000;

bool is_there(const char* path) {
  std::error_code hidden;
  return std::filesystem::exists(path, hidden);
}

}  // namespace

ClockFacts clock_facts() {
  ClockFacts facts;
  const bool marked = is_there("/run/systemd/timesync/synchronized");
  facts.source = marked || is_there("/run/systemd/timesync") ? "systemd-timesyncd"
                 : is_there("/run/chrony")                   ? "chrony"
                 : is_there("/run/ntpd.pid")                 ? "ntpd"
                                                             : "";
  timex look{};
  if (adjtimex(&look) >= 0) {
    facts.synchronised = look.maxerror < kUnsynchronised_us;
  } else if (marked) {
    facts.synchronised = true;
  }
  return facts;
}

DatabaseFacts database_facts(const std::filesystem::path& database) {
  DatabaseFacts facts;
  facts.file = database.string();
  const MachineLook look = look_at_machine(SystemClock(), database);
  if (look.disk) {
    facts.free_bytes = look.disk->free_bytes;
    facts.database_bytes = look.disk->database_bytes;
  }
  std::error_code absent;
  const auto log = std::filesystem::file_size(database.string() + "-wal", absent);
  if (!absent) facts.log_bytes = log;
  return facts;
}

}  // namespace gyle
