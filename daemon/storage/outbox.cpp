#include "storage/outbox.h"

#include "storage/connection.h"

namespace gyle {
namespace {

using storage::from_ms;
using storage::to_ms;

constexpr const char* kAlertColumns =
    "d.id, d.batch, b.name, b.vessel, d.kind, d.sensor, d.step, d.occurrence, d.state, d.time_ms, "
    "d.severity, "
    "d.sentence, d.evidence";

Result<StoredAlert> read_alert(SQLite::Statement& row) {
  StoredAlert alert;
  alert.id = row.getColumn(0).getInt64();
  alert.batch = row.getColumn(1).getInt64();
  alert.batch_name = row.getColumn(2).getString();
  alert.vessel = row.getColumn(3).getString();
  const auto kind = alert_kind_named(row.getColumn(4).getString());
  if (!kind) return fail(Errc::storage, "the database holds an alert of an unknown kind");
  alert.decision.kind = *kind;
  alert.decision.sensor = row.getColumn(5).getString();
  if (const int step = row.getColumn(6).getInt(); step != 0) alert.decision.step = step;
  alert.decision.occurrence = row.getColumn(7).getInt();
  alert.decision.state = row.getColumn(8).getString() == name(Decision::State::raised)
                             ? Decision::State::raised
                             : Decision::State::withdrawn;
  alert.decision.time = from_ms(row.getColumn(9).getInt64());
  alert.severity = row.getColumn(10).getString();
  alert.sentence = row.getColumn(11).getString();
  alert.evidence = row.getColumn(12).getString();
  return alert;
}

}  // namespace

Result<bool> Outbox::record(std::int64_t batch, const Decision& decision, std::string_view sentence,
                            std::string_view evidence_json, std::span<const std::string> channels) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the alert", [&]() -> Result<bool> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement known(db, "SELECT 1 FROM batch WHERE id = ?");
    known.bind(1, batch);
    if (!known.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
    SQLite::Statement insert(db,
                             "INSERT INTO decision(batch, kind, sensor, step, occurrence, state, time_ms, "
                             "severity, sentence, evidence) "
                             "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
                             "ON CONFLICT(batch, kind, sensor, step, occurrence, state) DO NOTHING");
    insert.bind(1, batch);
    insert.bind(2, name(decision.kind));
    insert.bind(3, decision.sensor);
    insert.bind(4, decision.step.value_or(0));
    insert.bind(5, decision.occurrence);
    insert.bind(6, name(decision.state));
    insert.bind(7, to_ms(decision.time));
    insert.bind(8, name(severity_of(decision.kind)));
    insert.bind(9, std::string(sentence));
    insert.bind(10, std::string(evidence_json));
    if (insert.exec() == 0) return false;
    const std::int64_t id = db.getLastInsertRowid();
    SQLite::Statement deliver(db, "INSERT OR IGNORE INTO outbox(decision, channel) VALUES (?, ?)");
    for (const std::string& channel : channels) {
      deliver.bind(1, id);
      deliver.bind(2, channel);
      deliver.exec();
      deliver.reset();
    }
    transaction.commit();
    return true;
  });
}

Result<std::vector<Pending>> Outbox::due(std::string_view channel, Time now, int limit) {
  return storage::guarded("read the outbox", [&]() -> Result<std::vector<Pending>> {
    std::vector<Pending> pending;
    SQLite::Statement rows(
        database_->connection().db,
        std::string("SELECT ") + kAlertColumns +
            ", o.id, o.attempts FROM outbox o JOIN decision d ON d.id = o.decision "
            "JOIN batch b ON b.id = d.batch "
            "WHERE o.channel = ?1 AND o.delivered_ms IS NULL AND o.next_ms <= ?2 AND NOT EXISTS ("
            "SELECT 1 FROM outbox earlier JOIN decision e ON e.id = earlier.decision "
            "WHERE earlier.channel = ?1 AND earlier.delivered_ms IS NULL AND earlier.next_ms > ?2 "
            "AND e.id < d.id AND e.batch = d.batch AND e.kind = d.kind AND e.sensor = d.sensor "
            "AND e.step = d.step) ORDER BY d.id LIMIT ?3");
    rows.bind(1, std::string(channel));
    rows.bind(2, to_ms(now));
    rows.bind(3, limit);
    while (rows.executeStep()) {
      BOOST_OUTCOME_TRY(alert, read_alert(rows));
      pending.push_back({rows.getColumn(13).getInt64(), rows.getColumn(14).getInt(), std::move(alert)});
    }
    return pending;
  });
}

Result<std::optional<Time>> Outbox::next_due() {
  return storage::guarded("read the outbox", [&]() -> Result<std::optional<Time>> {
    const SQLite::Column next =
        database_->connection().db.execAndGet("SELECT min(next_ms) FROM outbox WHERE delivered_ms IS NULL");
    if (next.isNull()) return std::optional<Time>();
    return std::optional<Time>(from_ms(next.getInt64()));
  });
}

Status Outbox::delivered(std::int64_t pending_id, Time time) {
  return storage::guarded("note the delivery", [&]() -> Status {
    SQLite::Statement update(database_->connection().db,
                             "UPDATE outbox SET delivered_ms = ?, error = '' WHERE id = ?");
    update.bind(1, to_ms(time));
    update.bind(2, pending_id);
    update.exec();
    return success();
  });
}

Status Outbox::failed(std::int64_t pending_id, Time next_attempt, std::string_view error) {
  return storage::guarded("note the delivery", [&]() -> Status {
    SQLite::Statement update(database_->connection().db,
                             "UPDATE outbox SET attempts = attempts + 1, next_ms = ?, error = ? "
                             "WHERE id = ? AND delivered_ms IS NULL");
    update.bind(1, to_ms(next_attempt));
    update.bind(2, std::string(error));
    update.bind(3, pending_id);
    update.exec();
    return success();
  });
}

Result<std::vector<StoredAlert>> Outbox::alerts(std::int64_t batch) {
  return storage::guarded("read the alerts", [&]() -> Result<std::vector<StoredAlert>> {
    std::vector<StoredAlert> alerts;
    SQLite::Statement rows(
        database_->connection().db,
        std::string("SELECT ") + kAlertColumns +
            " FROM decision d JOIN batch b ON b.id = d.batch WHERE d.batch = ? ORDER BY d.id");
    rows.bind(1, batch);
    while (rows.executeStep()) {
      BOOST_OUTCOME_TRY(alert, read_alert(rows));
      alerts.push_back(std::move(alert));
    }
    return alerts;
  });
}

}  // namespace gyle
