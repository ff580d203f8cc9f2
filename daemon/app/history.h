#pragma once

#include <functional>
#include <vector>

#include "calibration/calibration_curves.h"
#include "fermentation/event.h"
#include "storage/journal.h"
#include "storage/watch_log.h"

namespace gyle {

// Everything a batch's judgement was ever fed, in the order in which it was fed: the readings its assignments
// cover, as_judged() by `curves`, and the ticks between them. `from` is the pitch; nothing that arrived
// before it matters. Memory does not grow with the journal. Returns the number of the last reading looked at.
Result<std::int64_t> read_history(Journal& journal, WatchLog& log, const std::vector<Assignment>& assignments,
                                  Time from, const CalibrationCurves& curves,
                                  const std::function<void(const Event&)>& feed);

}  // namespace gyle
