#include "storage/watch_log.h"

#include <algorithm>

#include "storage/connection.h"
#include "storage/judging_due.h"

namespace gyle {
namespace {

std::vector<Assignment> read_assignments(SQLite::Database& db, std::int64_t batch) {
  SQLite::Statement select(
      db, "SELECT sensor, after_reading, until_reading FROM assignment WHERE batch = ? ORDER BY rowid");
  select.bind(1, batch);
  std::vector<Assignment> assignments;
  while (select.executeStep()) {
    Assignment& one = assignments.emplace_back();
    one.sensor = select.getColumn(0).getString();
    one.after_reading = select.getColumn(1).getInt64();
    if (!select.isColumnNull(2)) one.until_reading = select.getColumn(2).getInt64();
  }
  return assignments;
}

}  // namespace

Status WatchLog::ticked(const TickRow& tick) {
  return storage::guarded("store the time", [&]() -> Status {
    SQLite::Statement insert(database_->connection().db,
                             "INSERT INTO tick(after_reading, time_ms) VALUES (?, ?)");
    insert.bind(1, tick.after_reading);
    insert.bind(2, storage::to_ms(tick.time));
    insert.exec();
    return success();
  });
}

Result<std::vector<TickRow>> WatchLog::ticks(Time from, std::int64_t until) {
  return storage::guarded("read the ticks", [&]() -> Result<std::vector<TickRow>> {
    SQLite::Statement select(database_->connection().db,
                             "SELECT after_reading, time_ms FROM tick WHERE time_ms >= ? AND after_reading < "
                             "? ORDER BY id");
    select.bind(1, storage::to_ms(from));
    select.bind(2, until);
    std::vector<TickRow> ticks;
    while (select.executeStep()) {
      ticks.push_back({select.getColumn(0).getInt64(), storage::from_ms(select.getColumn(1).getInt64())});
    }
    return ticks;
  });
}

Result<std::optional<Duration>> WatchLog::next_tick_ahead(Time now) {
  return storage::guarded("read the ticks", [&]() -> Result<std::optional<Duration>> {
    SQLite::Statement select(database_->connection().db,
                             "SELECT min(time_ms) FROM tick WHERE time_ms > ?1 "
                             "AND EXISTS (SELECT 1 FROM tick WHERE time_ms <= ?1)");
    select.bind(1, storage::to_ms(now));
    if (!select.executeStep() || select.isColumnNull(0)) return std::optional<Duration>();
    return std::optional<Duration>(storage::from_ms(select.getColumn(0).getInt64()) - now);
  });
}

Result<SetBack> WatchLog::clock_set_back(Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("correct what a clock that was ahead has left", [&]() -> Result<SetBack> {
    storage::WriteTransaction transaction(db);
    SetBack gone;
    const auto run = [&](const char* sql) {
      SQLite::Statement statement(db, sql);
      statement.bind(1, storage::to_ms(now));
      return static_cast<std::int64_t>(statement.exec());
    };
    gone.ticks = run("DELETE FROM tick WHERE time_ms > ?1");
    gone.readings = run(
        "UPDATE reading SET delay_ms = CASE time_quality WHEN 0 THEN ?1 - time_ms ELSE 0 END, "
        "time_ms = CASE time_quality WHEN 0 THEN time_ms ELSE ?1 END, "
        "time_quality = CASE time_quality WHEN 0 THEN 0 ELSE 2 END WHERE time_ms + delay_ms > ?1 + 60000");
    SQLite::Statement open(db, "SELECT id FROM batch WHERE packaged_ms IS NULL");
    while (open.executeStep()) storage::mark_judging_due(db, open.getColumn(0).getInt64());
    open.reset();
    transaction.commit();
    return gone;
  });
}

bool covers(std::span<const Assignment> assignments, const std::string& sensor, std::int64_t reading) {
  return std::any_of(assignments.begin(), assignments.end(),
                     [&](const Assignment& a) { return a.sensor == sensor && a.covers(reading); });
}

Status WatchLog::assign(std::int64_t batch, const std::vector<std::string>& sensors,
                        std::int64_t newest_reading) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the sensors of the batch", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    const std::vector<Assignment> before = read_assignments(db, batch);
    const auto used = [&](const std::string& sensor) {
      return covers(before, sensor, std::numeric_limits<std::int64_t>::max());
    };
    SQLite::Statement end(
        db,
        "UPDATE assignment SET until_reading = ? WHERE batch = ? AND sensor = ? AND until_reading IS NULL");
    for (const Assignment& old : before) {
      if (std::find(sensors.begin(), sensors.end(), old.sensor) != sensors.end()) continue;
      end.bind(1, newest_reading);
      end.bind(2, batch);
      end.bind(3, old.sensor);
      end.exec();
      end.reset();
    }
    SQLite::Statement begin(db, "INSERT INTO assignment(batch, sensor, after_reading) VALUES (?, ?, ?)");
    for (const std::string& sensor : sensors) {
      if (used(sensor)) continue;
      begin.bind(1, batch);
      begin.bind(2, sensor);
      begin.bind(3, before.empty() ? 0 : newest_reading);
      begin.exec();
      begin.reset();
    }
    transaction.commit();
    return success();
  });
}

Result<std::vector<Assignment>> WatchLog::assignments(std::int64_t batch) {
  return storage::guarded("read the sensors of the batch", [&]() -> Result<std::vector<Assignment>> {
    return read_assignments(database_->connection().db, batch);
  });
}

Result<RowSpan> WatchLog::span(std::int64_t batch) {
  return storage::guarded("read the sensors of the batch", [&]() -> Result<RowSpan> {
    SQLite::Statement select(database_->connection().db,
                             "SELECT ifnull((SELECT after_reading FROM batch_end WHERE batch = ?1), "
                             "ifnull(min(after_reading), 0)), "
                             "max(ifnull(until_reading, ?2)) FROM assignment WHERE batch = ?1");
    RowSpan span;
    select.bind(1, batch);
    select.bind(2, span.until);
    if (select.executeStep()) {
      span.after = select.getColumn(0).getInt64();
      if (!select.isColumnNull(1)) span.until = select.getColumn(1).getInt64();
    }
    return span;
  });
}

}  // namespace gyle
