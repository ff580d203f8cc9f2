#pragma once

#include <functional>
#include <limits>
#include <memory>
#include <optional>
#include <stop_token>
#include <vector>

#include "calibration/calibration_curves.h"
#include "fermentation/batch_trace.h"
#include "fermentation/event.h"
#include "fermentation/tracker.h"
#include "reports/ending_json.h"
#include "storage/batch_store.h"
#include "storage/calibration_store.h"
#include "storage/journal.h"
#include "storage/watch_log.h"

namespace gyle {

inline constexpr std::int64_t kAllReadings = std::numeric_limits<std::int64_t>::max();

// All events that a batch's judgement was fed, in the same order: the readings that its assignments cover,
// as_judged() by `curves`, and the ticks between them. `from` is the pitch; nothing that arrived
// before it matters. Of the journal only `span` is looked at. Memory does not grow with the journal.
// Errc::unavailable: `stop` was requested, which is looked at every few thousand readings.
struct ReadHistory {
  std::int64_t last_looked_at = 0;        // number of a reading
  std::optional<std::int64_t> first_fed;  // number of a reading; absent: none was
  std::vector<Time> last_ticks;           // those fed after the last reading
};
Result<ReadHistory> read_history(Journal& journal, WatchLog& log, const std::vector<Assignment>& assignments,
                                 RowSpan span, Time from, const CalibrationCurves& curves,
                                 const std::function<void(const Event&)>& feed,
                                 const std::stop_token& stop = {});

// Errc::malformed or out_of_range for a description that cannot be read.
Result<BatchSpec> spec_of(const StoredBatch& batch);

// A batch as it is evaluated from its whole history; of a packaged one, at its end.
struct Past {
  Tracker tracker;
  std::int64_t read_up_to = 0;  // number of a reading
  std::shared_ptr<BatchTrace> trace;
  std::vector<Decision> decisions;
  std::optional<std::int64_t> first_fed;
  std::vector<Time> last_ticks;
};
// Of readings up to number `up_to`, and of the ticks before the next one.
Result<Past> read_past(Journal& journal, WatchLog& log, CalibrationStore& calibrations,
                       const StoredBatch& batch, const std::stop_token& stop = {},
                       std::int64_t up_to = kAllReadings);

// How it ended, and as that is stored; `first_fed` is the number of the first reading that the judgement was fed.
BatchEnding ending_of(const Past& past);
StoredEnding stored_ending(const BatchEnding& ending, std::optional<std::int64_t> first_fed);

}  // namespace gyle
