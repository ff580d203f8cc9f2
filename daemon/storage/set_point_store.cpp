#include "storage/set_point_store.h"

#include "storage/connection.h"

namespace gyle {
namespace {

std::optional<Ask> newest(SQLite::Database& db, std::int64_t batch, const std::string& column) {
  SQLite::Statement row(db, fmt::format("SELECT step, celsius FROM set_point WHERE batch = ? AND {0} IS NOT "
                                        "NULL ORDER BY {0} DESC, step DESC LIMIT 1",
                                        column));
  row.bind(1, batch);
  if (!row.executeStep()) return std::nullopt;
  return Ask{row.getColumn(0).getInt(), Celsius{row.getColumn(1).getDouble()}};
}

std::optional<Time> time_of(SQLite::Statement& row) {
  if (!row.executeStep() || row.getColumn(0).isNull()) return std::nullopt;
  return storage::from_ms(row.getColumn(0).getInt64());
}

Status mark(SQLite::Database& db, std::int64_t batch, const Ask& ask, const std::string& column, Time time) {
  return storage::guarded("store what a thermostat is asked for", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    SQLite::Statement known(db, "SELECT 1 FROM batch WHERE id = ?");
    known.bind(1, batch);
    if (!known.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
    SQLite::Statement put(db, fmt::format("INSERT INTO set_point(batch, step, celsius, {0}) VALUES (?, ?, ?, "
                                          "?) ON CONFLICT DO UPDATE SET {0} = excluded.{0}",
                                          column));
    put.bind(1, batch);
    put.bind(2, ask.step);
    put.bind(3, ask.temperature.value);
    put.bind(4, storage::to_ms(time));
    put.exec();
    transaction.commit();
    return success();
  });
}

}  // namespace

Result<SetPointPast> SetPointStore::past(std::int64_t batch, const std::string& vessel) {
  return storage::guarded("read what a thermostat was asked for", [&]() -> Result<SetPointPast> {
    SQLite::Database& db = database_->connection().db;
    SetPointPast past;
    past.asked = newest(db, batch, "asked_ms");
    past.confirmed = newest(db, batch, "confirmed_ms");
    SQLite::Statement changed(db,
                              "SELECT max(asked_ms) FROM set_point WHERE batch IN (SELECT id FROM batch "
                              "WHERE vessel = ?)");
    changed.bind(1, vessel);
    past.changed = time_of(changed);
    return past;
  });
}

Result<std::optional<Time>> SetPointStore::asked_since(std::int64_t batch) {
  return storage::guarded("read what a thermostat was asked for", [&]() -> Result<std::optional<Time>> {
    SQLite::Statement since(database_->connection().db,
                            "SELECT max(asked_ms) FROM set_point WHERE batch = ?");
    since.bind(1, batch);
    return time_of(since);
  });
}

Status SetPointStore::confirm(std::int64_t batch, const Ask& ask, Time time) {
  return mark(database_->connection().db, batch, ask, "confirmed_ms", time);
}

Status SetPointStore::asked(std::int64_t batch, const Ask& ask, Time time) {
  return mark(database_->connection().db, batch, ask, "asked_ms", time);
}

}  // namespace gyle
