#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "storage/database.h"

namespace gyle {

// A tick: the clock reached `time` when `after_reading` was the newest reading.
struct TickRow {
  std::int64_t after_reading;
  Time time;
};

// A batch uses a sensor's readings with after_reading < id <= until_reading.
struct Assignment {
  std::string sensor;
  std::int64_t after_reading = 0;
  std::int64_t until_reading = std::numeric_limits<std::int64_t>::max();

  bool covers(std::int64_t reading) const { return after_reading < reading && reading <= until_reading; }
};

// Whether one of them makes the batch use this reading of this sensor.
bool covers(std::span<const Assignment> assignments, const std::string& sensor, std::int64_t reading);

// Rows of the journal with after < id <= until.
struct RowSpan {
  std::int64_t after = 0;
  std::int64_t until = std::numeric_limits<std::int64_t>::max();
};

// The number of ticks and readings that a clock ahead of the time had left.
struct SetBack {
  std::int64_t ticks = 0;
  std::int64_t readings = 0;
};

// What the judgement of each batch needs beside the journal: when the clock ticked, and which sensors'
// readings it uses. Together they give the same events in the same order again. Errc::storage: nothing has
// happened, call again.
class WatchLog {
 public:
  explicit WatchLog(Database& database) : database_(&database) {}

  Status ticked(const TickRow& tick);
  // Those from `from` on that came before reading `until`, in order.
  Result<std::vector<TickRow>> ticks(Time from,
                                     std::int64_t until = std::numeric_limits<std::int64_t>::max());

  // How far ahead of `now` the next tick is; absent when there is none, or none that is not later than `now`.
  // Ticks come every few minutes: a clock that was merely behind for a while finds one near.
  Result<std::optional<Duration>> next_tick_ahead(Time now);

  // The clock was ahead, and is right again: it is `now`. Later ticks are deleted. Readings that arrived
  // "later" came now at the latest: those that are dated by their arrival are dated now, marked as a backlog.
  // Batches in their vessels are to be re-evaluated (storage/judging_log.h).
  Result<SetBack> clock_set_back(Time now);

  // From the reading after `newest_reading` on the batch uses these sensors and no others. Its first ones
  // count from the beginning of the journal, so that a pitch may be entered late. No sensors: nothing more is
  // used.
  Status assign(std::int64_t batch, const std::vector<std::string>& sensors, std::int64_t newest_reading);
  Result<std::vector<Assignment>> assignments(std::int64_t batch);

  // Where in the journal all the readings are that its assignments cover.
  Result<RowSpan> span(std::int64_t batch);

 private:
  Database* database_;
};

}  // namespace gyle
