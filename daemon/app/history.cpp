#include "app/history.h"

#include <algorithm>

#include "storage/past_batches.h"

namespace gyle {

Result<ReadHistory> read_history(Journal& journal, WatchLog& log, const std::vector<Assignment>& assignments,
                                 RowSpan span, Time from, const CalibrationCurves& curves,
                                 const std::function<void(const Event&)>& feed) {
  // What was read from a file lay in the past already when the clock ticked.
  const bool imported = std::any_of(assignments.begin(), assignments.end(),
                                    [](const Assignment& a) { return is_import_sensor(a.sensor); });
  std::vector<TickRow> ticks;
  if (!imported) {
    BOOST_OUTCOME_TRY(ticked, log.ticks(from, span.until));
    ticks = std::move(ticked);
  }
  auto next_tick = ticks.begin();
  const auto tick_up_to = [&](std::int64_t reading) {
    for (; next_tick != ticks.end() && next_tick->after_reading < reading; ++next_tick)
      feed(Tick{next_tick->time});
  };

  RowQuery query;
  query.after_id = span.after;
  query.until_id = span.until;
  ReadHistory history;
  std::int64_t last = 0;
  for (const Assignment& a : assignments) {
    if (std::find(query.sensors.begin(), query.sensors.end(), a.sensor) == query.sensors.end()) {
      query.sensors.push_back(a.sensor);
    }
    last = std::max(last, a.until_reading);
  }
  // A sensor's clock may run a little behind the daemon's.
  query.received_from = from - minutes(10);
  for (std::int64_t before = -1; before != query.after_id;) {
    before = query.after_id;
    BOOST_OUTCOME_TRY(after, journal.rows(query, [&](const JournalRow& row) {
      if (!covers(assignments, row.reading.sensor, row.id)) return;
      if (!history.first_fed) history.first_fed = row.id;
      tick_up_to(row.id);
      as_judged(row.reading, curves, feed);
    }));
    query.after_id = after;
  }
  tick_up_to(last);
  history.last_looked_at = query.after_id;
  return history;
}

}  // namespace gyle
