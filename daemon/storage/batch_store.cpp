#include "storage/batch_store.h"

#include <charconv>

#include "storage/connection.h"

namespace gyle {
namespace {

using storage::from_ms;
using storage::to_ms;

constexpr const char* kColumns =
    "SELECT id, vessel, name, pitched_ms, packaged_ms, spec, last_calibration FROM batch ";

StoredBatch read(SQLite::Statement& row) {
  StoredBatch batch;
  batch.id = row.getColumn(0).getInt64();
  batch.vessel = row.getColumn(1).getString();
  batch.name = row.getColumn(2).getString();
  batch.pitched = from_ms(row.getColumn(3).getInt64());
  if (!row.isColumnNull(4)) batch.packaged = from_ms(row.getColumn(4).getInt64());
  batch.spec = row.getColumn(5).getString();
  if (!row.isColumnNull(6)) batch.last_calibration = row.getColumn(6).getInt64();
  return batch;
}

Result<std::vector<StoredBatch>> select(SQLite::Database& db, const std::string& where) {
  return storage::guarded("read the batches", [&]() -> Result<std::vector<StoredBatch>> {
    std::vector<StoredBatch> batches;
    SQLite::Statement rows(db, kColumns + where + " ORDER BY id");
    while (rows.executeStep()) batches.push_back(read(rows));
    return batches;
  });
}

std::optional<StoredBatch> find_id(SQLite::Database& db, std::int64_t id) {
  SQLite::Statement row(db, std::string(kColumns) + "WHERE id = ?");
  row.bind(1, id);
  if (!row.executeStep()) return std::nullopt;
  return read(row);
}

void write(SQLite::Database& db, std::int64_t id, const StoredEnding& ending) {
  SQLite::Statement insert(db,
                           "INSERT OR REPLACE INTO batch_end(batch, after_reading, ending) VALUES (?, ?, ?)");
  insert.bind(1, id);
  insert.bind(2, ending.after_reading);
  insert.bind(3, ending.text);
  insert.exec();
}

}  // namespace

Result<std::int64_t> BatchStore::pitch(const NewBatch& batch, const std::vector<std::string>& sensors) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the batch", [&]() -> Result<std::int64_t> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement rival(
        db, std::string(kColumns) +
                "WHERE packaged_ms IS NULL AND (vessel = ? OR name = ?) ORDER BY vessel <> ?");
    rival.bind(1, batch.vessel);
    rival.bind(2, batch.name);
    rival.bind(3, batch.vessel);
    if (rival.executeStep()) {
      const StoredBatch running = read(rival);
      return fail(Errc::conflict,
                  running.vessel == batch.vessel
                      ? fmt::format("vessel {} holds the batch \"{}\"; package it first", running.vessel,
                                    running.name)
                      : fmt::format("a batch named \"{}\" is in vessel {}; give this one another name",
                                    running.name, running.vessel));
    }
    SQLite::Statement insert(db, "INSERT INTO batch(vessel, name, pitched_ms, spec) VALUES (?, ?, ?, ?)");
    insert.bind(1, batch.vessel);
    insert.bind(2, batch.name);
    insert.bind(3, to_ms(batch.pitched));
    insert.bind(4, batch.spec);
    insert.exec();
    const std::int64_t id = db.getLastInsertRowid();
    SQLite::Statement assign(db, "INSERT INTO assignment(batch, sensor, after_reading) VALUES (?, ?, 0)");
    for (const std::string& sensor : sensors) {
      assign.bind(1, id);
      assign.bind(2, sensor);
      assign.exec();
      assign.reset();
    }
    transaction.commit();
    return id;
  });
}

Status BatchStore::package(std::int64_t id, Time time, std::int64_t newest_reading,
                           const std::optional<StoredEnding>& ending) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the end of the batch", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    const auto batch = find_id(db, id);
    if (!batch) return fail(Errc::not_found, fmt::format("there is no batch {}", id));
    if (batch->packaged) {
      return fail(Errc::conflict, fmt::format("the batch \"{}\" has been packaged already", batch->name));
    }
    if (time < batch->pitched) {
      return fail(Errc::out_of_range,
                  fmt::format("the batch \"{}\" cannot be packaged before it was pitched", batch->name));
    }
    SQLite::Statement update(db, "UPDATE batch SET packaged_ms = ? WHERE id = ?");
    update.bind(1, to_ms(time));
    update.bind(2, id);
    update.exec();
    SQLite::Statement end(
        db, "UPDATE assignment SET until_reading = ? WHERE batch = ? AND until_reading IS NULL");
    end.bind(1, newest_reading);
    end.bind(2, id);
    end.exec();
    if (ending) write(db, id, *ending);
    transaction.commit();
    return success();
  });
}

Result<std::optional<StoredEnding>> BatchStore::ending(std::int64_t id) {
  return storage::guarded("read the end of the batch", [&]() -> Result<std::optional<StoredEnding>> {
    SQLite::Statement select(database_->connection().db,
                             "SELECT after_reading, ending FROM batch_end WHERE batch = ?");
    select.bind(1, id);
    if (!select.executeStep()) return std::optional<StoredEnding>();
    return std::optional(StoredEnding{select.getColumn(0).getInt64(), select.getColumn(1).getString()});
  });
}

Status BatchStore::keep(std::int64_t id, const StoredEnding& ending) {
  return storage::guarded("store the end of the batch", [&]() -> Status {
    write(database_->connection().db, id, ending);
    return success();
  });
}

Result<std::optional<std::string>> BatchStore::course(std::int64_t id) {
  return storage::guarded("read the course of the batch", [&]() -> Result<std::optional<std::string>> {
    SQLite::Statement select(database_->connection().db,
                             "SELECT course FROM thinned WHERE batch = ? AND course IS NOT NULL");
    select.bind(1, id);
    if (!select.executeStep()) return std::optional<std::string>();
    return std::optional(select.getColumn(0).getString());
  });
}

Result<std::vector<StoredBatch>> BatchStore::all() { return select(database_->connection().db, ""); }

Result<std::vector<StoredBatch>> BatchStore::open() {
  return select(database_->connection().db, "WHERE packaged_ms IS NULL");
}

Result<StoredBatch> BatchStore::find(std::string_view id_or_name) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("read the batches", [&]() -> Result<StoredBatch> {
    SQLite::Statement by_name(db, std::string(kColumns) + "WHERE name = ? ORDER BY id DESC LIMIT 1");
    by_name.bind(1, std::string(id_or_name));
    if (by_name.executeStep()) return read(by_name);
    std::int64_t id = 0;
    const char* end = id_or_name.data() + id_or_name.size();
    if (const auto [stop, error] = std::from_chars(id_or_name.data(), end, id);
        error == std::errc() && stop == end) {
      if (auto batch = find_id(db, id)) return *std::move(batch);
    }
    return fail(Errc::not_found, fmt::format("there is no batch \"{}\"", id_or_name));
  });
}

}  // namespace gyle
