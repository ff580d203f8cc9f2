#include "app/history.h"

#include <fmt/format.h>

#include <algorithm>

#include "config/batch_file.h"
#include "storage/past_batches.h"

namespace gyle {
namespace {

constexpr std::int64_t kPage = 5000;  // readings

}  // namespace

Result<ReadHistory> read_history(Journal& journal, WatchLog& log, const std::vector<Assignment>& assignments,
                                 RowSpan span, Time from, const CalibrationCurves& curves,
                                 const std::function<void(const Event&)>& feed, const std::stop_token& stop) {
  // What was read from a file lay in the past already when the clock ticked.
  const bool imported = std::any_of(assignments.begin(), assignments.end(),
                                    [](const Assignment& a) { return is_import_sensor(a.sensor); });
  // Ticks are of before the reading that comes after theirs.
  const std::int64_t end = span.until == kAllReadings ? kAllReadings : span.until + 1;
  std::vector<TickRow> ticks;
  if (!imported) {
    BOOST_OUTCOME_TRY(ticked, log.ticks(from, end));
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
  query.limit = kPage;
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
    if (stop.stop_requested()) return fail(Errc::unavailable, "the daemon is ending");
    before = query.after_id;
    BOOST_OUTCOME_TRY(after, journal.rows(query, [&](const JournalRow& row) {
      if (!covers(assignments, row.reading.sensor, row.id)) return;
      if (!history.first_fed) history.first_fed = row.id;
      tick_up_to(row.id);
      as_judged(row.reading, curves, feed);
    }));
    query.after_id = after;
  }
  const auto first_last = next_tick;
  tick_up_to(std::min(last, end));
  for (auto tick = first_last; tick != next_tick; ++tick) history.last_ticks.push_back(tick->time);
  history.last_looked_at = query.after_id;
  return history;
}

Result<BatchSpec> spec_of(const StoredBatch& batch) {
  return parse_batch(batch.spec, fmt::format("batch {}", batch.id));
}

Result<Past> read_past(Journal& journal, WatchLog& log, CalibrationStore& calibrations,
                       const StoredBatch& batch, const std::stop_token& stop, std::int64_t up_to) {
  BOOST_OUTCOME_TRY(spec, spec_of(batch));
  BOOST_OUTCOME_TRY(assignments, log.assignments(batch.id));
  BOOST_OUTCOME_TRY(span, log.span(batch.id));
  span.until = std::min(span.until, up_to);
  BOOST_OUTCOME_TRY(curves, calibrations.in_force(batch.last_calibration));
  Past past{Tracker(spec), 0, std::make_shared<BatchTrace>(), {}, {}, {}};
  const auto feed = [&](const Event& event) {
    const Time time = std::visit([](const auto& one) { return one.time; }, event);
    if (batch.packaged && time > *batch.packaged)
      return;  // it had left its vessel, whenever that was entered
    const Outcome outcome = past.tracker.advance(event);
    past.trace->add(outcome);
    past.decisions.insert(past.decisions.end(), outcome.decisions.begin(), outcome.decisions.end());
  };
  BOOST_OUTCOME_TRY(history,
                    read_history(journal, log, assignments, span, batch.pitched, curves, feed, stop));
  past.read_up_to = history.last_looked_at;
  past.first_fed = history.first_fed;
  past.last_ticks = std::move(history.last_ticks);
  if (batch.packaged) feed(Packaged{*batch.packaged});
  return past;
}

BatchEnding ending_of(const Past& past) {
  BatchEnding ending{past.tracker.view(), {}};
  ending.run = yeast_run(past.tracker.spec(), ending.view, past.decisions, past.trace->curve());
  return ending;
}

StoredEnding stored_ending(const BatchEnding& ending, std::optional<std::int64_t> first_fed) {
  constexpr std::int64_t kNone = std::numeric_limits<std::int64_t>::max();
  return {first_fed ? *first_fed - 1 : kNone, ending_json(ending)};
}

}  // namespace gyle
