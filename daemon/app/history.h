#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "calibration/calibration_curves.h"
#include "fermentation/event.h"
#include "storage/journal.h"
#include "storage/watch_log.h"

namespace gyle {

// All events that a batch's judgement was fed, in the same order: the readings that its assignments cover,
// as_judged() by `curves`, and the ticks between them. `from` is the pitch; nothing that arrived
// before it matters. Of the journal only `span` is looked at. Memory does not grow with the journal.
struct ReadHistory {
  std::int64_t last_looked_at = 0;        // number of a reading
  std::optional<std::int64_t> first_fed;  // number of a reading; absent: none was
};
Result<ReadHistory> read_history(Journal& journal, WatchLog& log, const std::vector<Assignment>& assignments,
                                 RowSpan span, Time from, const CalibrationCurves& curves,
                                 const std::function<void(const Event&)>& feed);

}  // namespace gyle
