#pragma once

#include <optional>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "storage/database.h"

namespace gyle {

// From a start of the daemon to its end.
struct Run {
  Time started;
  Time alive;                   // last recorded; it may have lived up to an interval longer
  std::optional<Time> stopped;  // absent: it was killed, crashed, or lost its power
};

// When the daemon ran, and how each run ended. All times are by the wall clock of that moment.
class RunLog {
 public:
  explicit RunLog(Database& database) : database_(&database) {}

  // A run begins. Returns those before it, the newest first; of more than 1,000 the oldest are forgotten.
  // Errc::storage: no run has begun, call again. Once, before the others.
  Result<std::vector<Run>> begin(Time now);

  // To be called about once a minute, which limits the error in a killed run's end. Rewrites one row.
  Status alive(Time now);

  // The run ends cleanly; nothing is called after it.
  Status stopped(Time now);

 private:
  Database* database_;
  std::int64_t run_ = 0;
};

}  // namespace gyle
