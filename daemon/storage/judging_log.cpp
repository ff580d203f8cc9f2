#include "storage/judging_log.h"

#include "storage/connection.h"
#include "storage/judging_due.h"

namespace gyle {

void storage::mark_judging_due(SQLite::Database& db, std::int64_t batch) {
  SQLite::Statement mark(
      db, "INSERT INTO re_evaluated(batch, due) VALUES (?, 1) ON CONFLICT DO UPDATE SET due = 1");
  mark.bind(1, batch);
  mark.exec();
  SQLite::Statement forget(db, "DELETE FROM batch_end WHERE batch = ?");
  forget.bind(1, batch);
  forget.exec();
  SQLite::Statement outdated(db, "UPDATE thinned SET course = NULL WHERE batch = ?");
  outdated.bind(1, batch);
  outdated.exec();
}

Status JudgingLog::call_for(std::int64_t batch) {
  return storage::guarded("mark the batch for re-evaluation", [&]() -> Status {
    storage::WriteTransaction transaction(database_->connection().db);
    storage::mark_judging_due(database_->connection().db, batch);
    transaction.commit();
    return success();
  });
}

Result<bool> JudgingLog::due(std::int64_t batch) {
  return storage::guarded("read how the batch is judged", [&]() -> Result<bool> {
    SQLite::Statement select(database_->connection().db, "SELECT due FROM re_evaluated WHERE batch = ?");
    select.bind(1, batch);
    return select.executeStep() && select.getColumn(0).getInt() != 0;
  });
}

Status JudgingLog::settle(std::int64_t batch, const Continuity& continuity) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store how the batch is judged", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    SQLite::Statement settled(
        db,
        "INSERT INTO re_evaluated(batch, due, settled_ms) VALUES (?1, 0, ?2) ON CONFLICT "
        "DO UPDATE SET due = 0, settled_ms = ?2");
    settled.bind(1, batch);
    settled.bind(2, storage::to_ms(continuity.resumes_after));
    settled.exec();
    SQLite::Statement clear(db, "DELETE FROM occurrence_shift WHERE batch = ?");
    clear.bind(1, batch);
    clear.exec();
    SQLite::Statement add(
        db, "INSERT INTO occurrence_shift(batch, kind, sensor, step, shift) VALUES (?, ?, ?, ?, ?)");
    for (const auto& [topic, shift] : continuity.shifts) {
      if (shift == 0) continue;
      add.bind(1, batch);
      add.bind(2, name(std::get<AlertKind>(topic)));
      add.bind(3, std::get<std::string>(topic));
      add.bind(4, std::get<int>(topic));
      add.bind(5, shift);
      add.exec();
      add.reset();
    }
    transaction.commit();
    return success();
  });
}

Result<Continuity> JudgingLog::continuity(std::int64_t batch) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("read how the batch is judged", [&]() -> Result<Continuity> {
    Continuity continuity;
    SQLite::Statement settled(
        db, "SELECT settled_ms FROM re_evaluated WHERE batch = ? AND settled_ms IS NOT NULL");
    settled.bind(1, batch);
    if (settled.executeStep()) continuity.resumes_after = storage::from_ms(settled.getColumn(0).getInt64());
    SQLite::Statement shifts(db, "SELECT kind, sensor, step, shift FROM occurrence_shift WHERE batch = ?");
    shifts.bind(1, batch);
    while (shifts.executeStep()) {
      const auto kind = alert_kind_named(shifts.getColumn(0).getString());
      if (!kind) return fail(Errc::storage, "the database holds an unknown alert");
      continuity.shifts[{*kind, shifts.getColumn(1).getString(), shifts.getColumn(2).getInt()}] =
          shifts.getColumn(3).getInt();
    }
    return continuity;
  });
}

}  // namespace gyle
