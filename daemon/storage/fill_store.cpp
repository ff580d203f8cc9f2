#include "storage/fill_store.h"

#include <algorithm>

#include "storage/connection.h"

namespace gyle {
namespace {

std::vector<StoredFill> fills_of(SQLite::Database& db, std::int64_t batch) {
  SQLite::Statement rows(db,
                         "SELECT id, time_ms, container, count, litres_each, gas, storage_celsius FROM fill "
                         "WHERE batch = ? AND NOT taken_back ORDER BY time_ms, id");
  rows.bind(1, batch);
  std::vector<StoredFill> fills;
  while (rows.executeStep()) {
    Fill fill{.time = storage::from_ms(rows.getColumn(1).getInt64()),
              .container = container_named(rows.getColumn(2).getString()).value_or(Container::bottles),
              .count = rows.getColumn(3).getInt(),
              .litres_each = rows.getColumn(4).getDouble(),
              .gas = gas_source_named(rows.getColumn(5).getString()).value_or(GasSource::priming),
              .storage = Celsius{rows.getColumn(6).getDouble()}};
    fills.push_back({rows.getColumn(0).getInt64(), fill});
  }
  return fills;
}

}  // namespace

Result<std::int64_t> FillStore::add(std::int64_t batch, const Fill& fill) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the fill", [&]() -> Result<std::int64_t> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement known(db, "SELECT 1 FROM batch WHERE id = ?");
    known.bind(1, batch);
    if (!known.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
    const std::vector<StoredFill> there = fills_of(db, batch);
    if (std::any_of(there.begin(), there.end(), [&](const StoredFill& one) { return one.fill == fill; })) {
      return fail(Errc::conflict, "this fill has been entered already");
    }
    SQLite::Statement insert(db,
                             "INSERT INTO fill(batch, time_ms, container, count, litres_each, gas, "
                             "storage_celsius) VALUES (?, ?, ?, ?, ?, ?, ?)");
    insert.bind(1, batch);
    insert.bind(2, storage::to_ms(fill.time));
    insert.bind(3, name(fill.container));
    insert.bind(4, fill.count);
    insert.bind(5, fill.litres_each);
    insert.bind(6, name(fill.gas));
    insert.bind(7, fill.storage.value);
    insert.exec();
    const std::int64_t id = db.getLastInsertRowid();
    transaction.commit();
    return id;
  });
}

Status FillStore::take_back(std::int64_t batch, std::int64_t fill) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("take the fill back", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    SQLite::Statement update(db,
                             "UPDATE fill SET taken_back = 1 WHERE batch = ? AND id = ? AND NOT taken_back");
    update.bind(1, batch);
    update.bind(2, fill);
    if (update.exec() == 0) return fail(Errc::not_found, fmt::format("this batch has no fill {}", fill));
    transaction.commit();
    return success();
  });
}

Result<std::vector<std::int64_t>> FillStore::batches_filled_last(int at_most) {
  return storage::guarded("read the fills", [&]() -> Result<std::vector<std::int64_t>> {
    SQLite::Statement rows(database_->connection().db,
                           "SELECT batch FROM fill WHERE NOT taken_back GROUP BY batch "
                           "ORDER BY max(time_ms) DESC, batch LIMIT ?");
    rows.bind(1, at_most);
    std::vector<std::int64_t> batches;
    while (rows.executeStep()) batches.push_back(rows.getColumn(0).getInt64());
    return batches;
  });
}

Result<std::vector<StoredFill>> FillStore::of(std::int64_t batch) {
  return storage::guarded("read the fills", [&]() -> Result<std::vector<StoredFill>> {
    return fills_of(database_->connection().db, batch);
  });
}

}  // namespace gyle
