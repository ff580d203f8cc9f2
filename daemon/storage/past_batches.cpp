#include "storage/past_batches.h"

#include "storage/connection.h"

namespace gyle {
namespace {

constexpr std::string_view kPrefix = "import:";

// The batch that a statement has found, as words; empty: none.
std::string found(SQLite::Statement& select) {
  if (!select.executeStep()) return "";
  return fmt::format("batch {}, \"{}\"", select.getColumn(0).getInt64(), select.getColumn(1).getString());
}

}  // namespace

std::string import_sensor(std::string_view key) { return std::string(kPrefix) + std::string(key); }
bool is_import_sensor(std::string_view sensor) { return sensor.starts_with(kPrefix); }

Result<std::int64_t> PastBatches::add(const NewBatch& batch, Time packaged, std::string_view key) {
  if (packaged < batch.pitched) {
    return fail(Errc::out_of_range, "the batch cannot have been packaged before it was pitched");
  }
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the batch", [&]() -> Result<std::int64_t> {
    const std::string sensor = import_sensor(key);
    storage::WriteTransaction transaction(db);
    SQLite::Statement same_readings(
        db, "SELECT b.id, b.name FROM assignment a JOIN batch b ON b.id = a.batch WHERE a.sensor = ?");
    same_readings.bind(1, sensor);
    if (const std::string rival = found(same_readings); !rival.empty()) {
      return fail(Errc::conflict, fmt::format("these readings have been imported already, as {}", rival));
    }
    SQLite::Statement same_batch(db, "SELECT id, name FROM batch WHERE name = ? AND pitched_ms = ?");
    same_batch.bind(1, batch.name);
    same_batch.bind(2, storage::to_ms(batch.pitched));
    if (const std::string rival = found(same_batch); !rival.empty()) {
      return fail(Errc::conflict,
                  fmt::format("{}, was pitched at the same time; give this one another name", rival));
    }
    SQLite::Statement newest(db,
                             "SELECT max(s.newest) FROM series s JOIN word w ON w.id = s.sensor "
                             "WHERE w.text = ?");
    newest.bind(1, sensor);
    newest.executeStep();
    if (newest.isColumnNull(0)) {
      return fail(Errc::not_found, "its readings have not been sent; send them first");
    }
    SQLite::Statement insert(
        db,
        "INSERT INTO batch(vessel, name, pitched_ms, packaged_ms, spec, last_calibration) "
        "VALUES (?, ?, ?, ?, ?, 0)");
    insert.bind(1, batch.vessel);
    insert.bind(2, batch.name);
    insert.bind(3, storage::to_ms(batch.pitched));
    insert.bind(4, storage::to_ms(packaged));
    insert.bind(5, batch.spec);
    insert.exec();
    const std::int64_t id = db.getLastInsertRowid();
    SQLite::Statement assign(
        db, "INSERT INTO assignment(batch, sensor, after_reading, until_reading) VALUES (?, ?, 0, ?)");
    assign.bind(1, id);
    assign.bind(2, sensor);
    assign.bind(3, newest.getColumn(0).getInt64());
    assign.exec();
    newest.reset();
    transaction.commit();
    return id;
  });
}

}  // namespace gyle
