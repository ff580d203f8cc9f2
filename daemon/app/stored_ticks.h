#pragma once

#include <optional>

#include "storage/watch_log.h"

namespace gyle {

// When the clock ticks for the judgement. Each tick is stored before it is fed, so that what it leads to comes again after a
// restart; the judgement looks at the clock on its own grid, so few are enough.
//   errors   Errc::storage: nothing has happened, call again
//   threads  one; that of `log`
//   tests    unit/app/watch_test.cpp
class StoredTicks {
 public:
  explicit StoredTicks(WatchLog& log) : log_(log) {}

  // Whether the clock had been ahead and was set back to `now`; what it left behind is corrected then, and the open
  // batches have to be re-evaluated. To be asked before time goes on.
  Result<bool> corrected_set_back(Time now);

  bool is_due(Time now) const;

  // The clock has reached `now` when `newest_reading` was the newest in the judgement.
  Status store(std::int64_t newest_reading, Time now);

 private:
  Result<Duration> ahead_of(Time now);  // how far the clock had been; zero when it was not

  WatchLog& log_;
  std::optional<Time> last_;  // of this run
  bool compared_ = false;     // with what earlier runs stored
};

}  // namespace gyle
