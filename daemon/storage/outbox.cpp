#include "storage/outbox.h"

#include <algorithm>
#include <array>

#include "storage/connection.h"

namespace gyle {
namespace {

using storage::from_ms;
using storage::to_ms;

constexpr const char* kAlertColumns =
    "d.id, d.batch, ifnull(b.name, ''), ifnull(b.vessel, ''), d.kind, d.sensor, d.step, d.occurrence, "
    "d.state, d.time_ms, d.severity, d.sentence, d.evidence, d.acknowledged_ms, d.snoozed_ms, "
    "d.state = 'raised' AND (b.packaged_ms IS NOT NULL OR EXISTS (SELECT 1 FROM decision w "
    "WHERE ifnull(w.batch, 0) = ifnull(d.batch, 0) AND w.kind = d.kind AND w.sensor = d.sensor "
    "AND w.step = d.step AND w.occurrence = d.occurrence AND w.state = 'withdrawn'))";
constexpr int kAlertColumnCount = 16;

std::optional<Time> time_in(const SQLite::Column& column) {
  return column.isNull() ? std::nullopt : std::optional(from_ms(column.getInt64()));
}

StoredAlert read_alert(SQLite::Statement& row) {
  StoredAlert alert;
  alert.id = row.getColumn(0).getInt64();
  if (!row.getColumn(1).isNull()) alert.batch = row.getColumn(1).getInt64();
  alert.batch_name = row.getColumn(2).getString();
  alert.vessel = row.getColumn(3).getString();
  alert.kind = row.getColumn(4).getString();
  alert.sensor = row.getColumn(5).getString();
  alert.step = row.getColumn(6).getInt();
  alert.occurrence = row.getColumn(7).getInt();
  alert.state = row.getColumn(8).getString() == name(Decision::State::raised) ? Decision::State::raised
                                                                              : Decision::State::withdrawn;
  alert.time = from_ms(row.getColumn(9).getInt64());
  alert.severity = severity_named(row.getColumn(10).getString()).value_or(Severity::notice);
  alert.sentence = row.getColumn(11).getString();
  alert.evidence = row.getColumn(12).getString();
  alert.acknowledged = time_in(row.getColumn(13));
  alert.snoozed_until = time_in(row.getColumn(14));
  alert.over = row.getColumn(15).getInt() != 0;
  return alert;
}

void bind_batch(SQLite::Statement& statement, int index, const std::optional<std::int64_t>& batch) {
  if (batch) {
    statement.bind(index, *batch);
  } else {
    statement.bind(index);
  }
}

constexpr std::array<const char*, 4> kTogether{"alone", "quiet-hours", "sent-late", "at-once"};

const char* word(Together together) { return kTogether[static_cast<std::size_t>(together)]; }

Together together_in(const std::string& text) {
  const auto found = std::find(kTogether.begin(), kTogether.end(), text);
  return found == kTogether.end() ? Together::alone : static_cast<Together>(found - kTogether.begin());
}

int next_occurrence(SQLite::Database& db, const NewAlert& alert) {
  SQLite::Statement last(db,
                         "SELECT ifnull(max(occurrence), 0) FROM decision WHERE ifnull(batch, 0) = "
                         "ifnull(?, 0) AND kind = ? AND sensor = ? AND step = ? AND state = 'raised'");
  bind_batch(last, 1, alert.batch);
  last.bind(2, alert.kind);
  last.bind(3, alert.sensor);
  last.bind(4, alert.step);
  last.executeStep();
  // A withdrawal is of the last that was raised.
  return last.getColumn(0).getInt() + (alert.state == Decision::State::raised ? 1 : 0);
}

bool deliver(SQLite::Database& db, std::int64_t alert, int reminder, std::span<const std::string> channels) {
  bool any = false;
  SQLite::Statement insert(db, "INSERT OR IGNORE INTO outbox(decision, reminder, channel) VALUES (?, ?, ?)");
  for (const std::string& channel : channels) {
    insert.bind(1, alert);
    insert.bind(2, reminder);
    insert.bind(3, channel);
    any = insert.exec() > 0 || any;
    insert.reset();
  }
  return any;
}

}  // namespace

NewAlert alert_of(std::int64_t batch, const Decision& decision, std::string sentence, std::string evidence) {
  return {batch,
          name(decision.kind),
          decision.sensor,
          decision.step.value_or(0),
          decision.occurrence,
          decision.state,
          decision.time,
          severity_of(decision.kind),
          std::move(sentence),
          std::move(evidence)};
}

Result<std::optional<std::int64_t>> Outbox::record(const NewAlert& alert,
                                                   std::span<const std::string> channels) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the alert", [&]() -> Result<std::optional<std::int64_t>> {
    storage::WriteTransaction transaction(db);
    if (alert.batch) {
      SQLite::Statement known(db, "SELECT 1 FROM batch WHERE id = ?");
      known.bind(1, *alert.batch);
      if (!known.executeStep())
        return fail(Errc::not_found, fmt::format("there is no batch {}", *alert.batch));
    }
    SQLite::Statement insert(db,
                             "INSERT OR IGNORE INTO decision(batch, kind, sensor, step, occurrence, state, "
                             "time_ms, severity, sentence, evidence) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    bind_batch(insert, 1, alert.batch);
    insert.bind(2, alert.kind);
    insert.bind(3, alert.sensor);
    insert.bind(4, alert.step);
    insert.bind(5, alert.occurrence > 0 ? alert.occurrence : next_occurrence(db, alert));
    insert.bind(6, name(alert.state));
    insert.bind(7, to_ms(alert.time));
    insert.bind(8, name(alert.severity));
    insert.bind(9, alert.sentence);
    insert.bind(10, alert.evidence);
    if (insert.exec() == 0) return std::optional<std::int64_t>();
    const std::int64_t id = db.getLastInsertRowid();
    deliver(db, id, 0, channels);
    transaction.commit();
    return std::optional(id);
  });
}

Result<bool> Outbox::remind(std::int64_t alert, int number, std::span<const std::string> channels) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the reminder", [&]() -> Result<bool> {
    storage::WriteTransaction transaction(db);
    const bool any = deliver(db, alert, number, channels);
    transaction.commit();
    return any;
  });
}

Result<std::vector<Waiting>> Outbox::waiting(std::string_view channel) {
  return storage::guarded("read the outbox", [&]() -> Result<std::vector<Waiting>> {
    std::vector<Waiting> all;
    SQLite::Statement rows(
        database_->connection().db,
        std::string("SELECT ") + kAlertColumns +
            ", o.id, o.reminder, o.parcel, o.attempts, o.next_ms, o.together, o.packed_ms FROM outbox o "
            "JOIN decision d ON d.id = o.decision LEFT JOIN batch b ON b.id = d.batch "
            "WHERE o.channel = ? AND o.outcome = 'waiting' ORDER BY o.id");
    rows.bind(1, std::string(channel));
    while (rows.executeStep()) {
      constexpr int k = kAlertColumnCount;
      Waiting& one = all.emplace_back();
      one.alert = read_alert(rows);
      one.id = rows.getColumn(k).getInt64();
      one.reminder = rows.getColumn(k + 1).getInt();
      if (const auto parcel = rows.getColumn(k + 2); !parcel.isNull()) {
        one.parcel = Parcel{parcel.getInt64(), together_in(rows.getColumn(k + 5).getString()),
                            time_in(rows.getColumn(k + 6)).value_or(one.alert.time)};
      }
      one.attempts = rows.getColumn(k + 3).getInt();
      one.next = from_ms(rows.getColumn(k + 4).getInt64());
    }
    return all;
  });
}

Result<Parcel> Outbox::pack(std::span<const std::int64_t> deliveries, Together together, Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("pack the alerts", [&]() -> Result<Parcel> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement update(db, "UPDATE outbox SET parcel = ?, together = ?, packed_ms = ? WHERE id = ?");
    for (const std::int64_t id : deliveries) {
      update.bind(1, deliveries.front());
      update.bind(2, word(together));
      update.bind(3, to_ms(now));
      update.bind(4, id);
      update.exec();
      update.reset();
    }
    transaction.commit();
    return Parcel{deliveries.front(), together, now};
  });
}

Status Outbox::unpack(std::int64_t parcel) {
  return storage::guarded("unpack the alerts", [&]() -> Status {
    SQLite::Statement update(database_->connection().db,
                             "UPDATE outbox SET parcel = NULL WHERE parcel = ? AND outcome = 'waiting'");
    update.bind(1, parcel);
    update.exec();
    return success();
  });
}

namespace {

Status end(Database& database, std::int64_t parcel, const char* outcome, Time time, std::string_view answer) {
  return storage::guarded("note the delivery", [&]() -> Status {
    SQLite::Statement update(database.connection().db,
                             "UPDATE outbox SET outcome = ?, ended_ms = ?, answer = ? "
                             "WHERE parcel = ? AND outcome = 'waiting'");
    update.bind(1, outcome);
    update.bind(2, to_ms(time));
    update.bind(3, std::string(answer));
    update.bind(4, parcel);
    update.exec();
    return success();
  });
}

}  // namespace

Status Outbox::delivered(std::int64_t parcel, Time time, std::string_view answer) {
  return end(*database_, parcel, "delivered", time, answer);
}

Status Outbox::refused(std::int64_t parcel, Time time, std::string_view answer) {
  return end(*database_, parcel, "refused", time, answer);
}

Status Outbox::failed(std::int64_t parcel, Time next_attempt, std::string_view answer) {
  return storage::guarded("note the delivery", [&]() -> Status {
    SQLite::Statement update(database_->connection().db,
                             "UPDATE outbox SET attempts = attempts + 1, next_ms = ?, answer = ? "
                             "WHERE parcel = ? AND outcome = 'waiting'");
    update.bind(1, to_ms(next_attempt));
    update.bind(2, std::string(answer));
    update.bind(3, parcel);
    update.exec();
    return success();
  });
}

Status Outbox::overtaken(std::span<const std::int64_t> deliveries, Time time) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("note what was overtaken", [&]() -> Status {
    storage::WriteTransaction transaction(db);
    SQLite::Statement update(
        db, "UPDATE outbox SET outcome = 'overtaken', ended_ms = ? WHERE id = ? AND outcome = 'waiting'");
    for (const std::int64_t id : deliveries) {
      update.bind(1, to_ms(time));
      update.bind(2, id);
      update.exec();
      update.reset();
    }
    transaction.commit();
    return success();
  });
}

Result<std::int64_t> Outbox::retry(std::string_view channel) {
  return storage::guarded("retry what was refused", [&]() -> Result<std::int64_t> {
    SQLite::Statement update(database_->connection().db,
                             "UPDATE outbox SET outcome = 'waiting', ended_ms = NULL, next_ms = 0, "
                             "parcel = NULL WHERE channel = ? AND outcome = 'refused'");
    update.bind(1, std::string(channel));
    return std::int64_t{update.exec()};
  });
}

Status Outbox::keep_only(std::span<const std::string> channels, Time time) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("give up what waits for a channel that is gone", [&]() -> Status {
    std::string marks;
    for (std::size_t i = 0; i < channels.size(); ++i) marks += i == 0 ? "?" : ", ?";
    SQLite::Statement update(db,
                             "UPDATE outbox SET outcome = 'overtaken', ended_ms = ? "
                             "WHERE outcome = 'waiting' AND channel NOT IN (" +
                                 marks + ")");
    update.bind(1, to_ms(time));
    for (std::size_t i = 0; i < channels.size(); ++i) update.bind(static_cast<int>(i) + 2, channels[i]);
    update.exec();
    return success();
  });
}

Result<std::vector<ChannelRecord>> Outbox::channels() {
  return storage::guarded("read the outbox", [&]() -> Result<std::vector<ChannelRecord>> {
    std::vector<ChannelRecord> records;
    SQLite::Statement rows(
        database_->connection().db,
        "SELECT channel, sum(outcome = 'waiting'), sum(outcome = 'refused'), "
        "max(CASE outcome WHEN 'delivered' THEN ended_ms END), "
        "ifnull((SELECT answer FROM outbox t WHERE t.channel = o.channel AND t.answer <> '' "
        "AND t.outcome IN ('waiting', 'refused') ORDER BY t.id DESC LIMIT 1), '') "
        "FROM outbox o GROUP BY channel ORDER BY channel");
    while (rows.executeStep()) {
      records.push_back({rows.getColumn(0).getString(), rows.getColumn(1).getInt64(),
                         rows.getColumn(2).getInt64(), time_in(rows.getColumn(3)),
                         rows.getColumn(4).getString()});
    }
    return records;
  });
}

Result<Outbox::Fate> Outbox::fate(std::int64_t alert, std::string_view channel) {
  return storage::guarded("read the outbox", [&]() -> Result<Fate> {
    SQLite::Statement row(database_->connection().db,
                          "SELECT outcome, attempts, answer FROM outbox WHERE decision = ? AND channel = ? "
                          "ORDER BY reminder LIMIT 1");
    row.bind(1, alert);
    row.bind(2, std::string(channel));
    if (!row.executeStep()) {
      return fail(Errc::not_found, fmt::format("no alert {} was given to \"{}\"", alert, channel));
    }
    return Fate{row.getColumn(0).getString(), row.getColumn(1).getInt(), row.getColumn(2).getString()};
  });
}

namespace {

Result<std::vector<StoredAlert>> read_alerts(SQLite::Statement& rows) {
  std::vector<StoredAlert> alerts;
  while (rows.executeStep()) alerts.push_back(read_alert(rows));
  return alerts;
}

std::string select_alerts(const char* where) {
  return std::string("SELECT ") + kAlertColumns +
         " FROM decision d LEFT JOIN batch b ON b.id = d.batch WHERE " + where;
}

}  // namespace

Result<std::vector<StoredAlert>> Outbox::alerts(std::int64_t batch) {
  return storage::guarded("read the alerts", [&] {
    SQLite::Statement rows(database_->connection().db, select_alerts("d.batch = ? ORDER BY d.id"));
    rows.bind(1, batch);
    return read_alerts(rows);
  });
}

Result<std::vector<StoredAlert>> Outbox::system_alerts(int newest, std::optional<std::int64_t> before) {
  return storage::guarded("read the alerts", [&] {
    SQLite::Statement rows(
        database_->connection().db,
        select_alerts("d.batch IS NULL AND d.id IN (SELECT id FROM decision WHERE batch IS NULL "
                      "AND id < ? ORDER BY id DESC LIMIT ?) ORDER BY d.id"));
    rows.bind(1, before.value_or(INT64_MAX));
    rows.bind(2, newest);
    return read_alerts(rows);
  });
}

Result<std::vector<StoredAlert>> Outbox::open() {
  return storage::guarded("read the alerts", [&]() -> Result<std::vector<StoredAlert>> {
    SQLite::Statement rows(database_->connection().db,
                           select_alerts("d.state = 'raised' AND b.packaged_ms IS NULL ORDER BY d.id"));
    std::vector<StoredAlert> alerts;
    while (rows.executeStep()) {
      if (StoredAlert alert = read_alert(rows); !alert.over) alerts.push_back(std::move(alert));
    }
    return alerts;
  });
}

Result<StoredAlert> Outbox::alert(std::int64_t id) {
  return storage::guarded("read the alert", [&]() -> Result<StoredAlert> {
    SQLite::Statement row(database_->connection().db, select_alerts("d.id = ?"));
    row.bind(1, id);
    if (!row.executeStep()) return fail(Errc::not_found, fmt::format("there is no alert {}", id));
    return read_alert(row);
  });
}

namespace {

Status mark(Database& database, const char* column, std::int64_t alert, Time time) {
  return storage::guarded("mark the alert", [&]() -> Status {
    SQLite::Statement update(database.connection().db,
                             std::string("UPDATE decision SET ") + column + " = ? WHERE id = ?");
    update.bind(1, to_ms(time));
    update.bind(2, alert);
    if (update.exec() == 0) return fail(Errc::not_found, fmt::format("there is no alert {}", alert));
    return success();
  });
}

}  // namespace

Status Outbox::acknowledge(std::int64_t alert, Time time) {
  return mark(*database_, "acknowledged_ms", alert, time);
}

Status Outbox::snooze(std::int64_t alert, Time until) { return mark(*database_, "snoozed_ms", alert, until); }

}  // namespace gyle
