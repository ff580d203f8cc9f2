#include "storage/run_log.h"

#include "storage/connection.h"

namespace gyle {
namespace {

constexpr int kRunsKept = 1000;

}  // namespace

Result<std::vector<Run>> RunLog::begin(Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the start", [&]() -> Result<std::vector<Run>> {
    storage::WriteTransaction transaction(db);
    std::vector<Run> earlier;
    SQLite::Statement select(db, "SELECT started_ms, alive_ms, stopped_ms FROM run ORDER BY id DESC LIMIT ?");
    select.bind(1, kRunsKept);
    while (select.executeStep()) {
      Run run{storage::from_ms(select.getColumn(0).getInt64()),
              storage::from_ms(select.getColumn(1).getInt64()),
              {}};
      if (!select.isColumnNull(2)) run.stopped = storage::from_ms(select.getColumn(2).getInt64());
      earlier.push_back(run);
    }
    SQLite::Statement insert(db, "INSERT INTO run(started_ms, alive_ms) VALUES (?1, ?1)");
    insert.bind(1, storage::to_ms(now));
    insert.exec();
    const std::int64_t run = db.getLastInsertRowid();
    SQLite::Statement forget(db, "DELETE FROM run WHERE id <= ?");
    forget.bind(1, run - kRunsKept);
    forget.exec();
    transaction.commit();
    run_ = run;
    return earlier;
  });
}

Status RunLog::alive(Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("note that the watcher is alive", [&]() -> Status {
    SQLite::Statement update(db, "UPDATE run SET alive_ms = ? WHERE id = ?");
    update.bind(1, storage::to_ms(now));
    update.bind(2, run_);
    update.exec();
    return success();
  });
}

Status RunLog::stopped(Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the stop", [&]() -> Status {
    SQLite::Statement update(db, "UPDATE run SET alive_ms = ?1, stopped_ms = ?1 WHERE id = ?2");
    update.bind(1, storage::to_ms(now));
    update.bind(2, run_);
    update.exec();
    return success();
  });
}

}  // namespace gyle
