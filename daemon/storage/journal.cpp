#include "storage/journal.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <string_view>
#include <unordered_map>

#include "storage/connection.h"
#include "storage/repeated_message.h"

namespace gyle {
namespace {

using storage::from_ms;
using storage::to_ms;
using storage::Use;

constexpr std::size_t kTextKept = 512;
constexpr std::size_t kSeriesRemembered = 30'000;

std::string cut(const std::string& text) {
  if (text.size() <= kTextKept) return text;
  std::size_t end = kTextKept;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U)
    --end;  // not inside a character
  return text.substr(0, end);
}

int stored(TimeQuality quality) {
  switch (quality) {
    case TimeQuality::stamped:
      return 0;
    case TimeQuality::arrival:
      return 1;
    case TimeQuality::backlog:
      break;
  }
  return 2;
}

TimeQuality quality_stored_as(int code) {
  return code == 0 ? TimeQuality::stamped : code == 1 ? TimeQuality::arrival : TimeQuality::backlog;
}

// A value in millionths takes half the room, and most that sensors send have no more than six decimals.
constexpr double kMillionths = 1e6;
constexpr double kMostInMillionths = 1e9;

void bind_value(SQLite::Statement& statement, int index, double value) {
  if (std::abs(value) < kMostInMillionths) {
    const std::int64_t millionths = std::llround(value * kMillionths);
    if (static_cast<double>(millionths) / kMillionths == value) return statement.bind(index, millionths);
  }
  statement.bind(index, value);
}

double value_in(const SQLite::Column& column) {
  return column.isInteger() ? static_cast<double>(column.getInt64()) / kMillionths : column.getDouble();
}

struct Series {
  std::string sensor;
  Quantity quantity;
};

using SeriesById = std::unordered_map<std::int64_t, Series>;

// Of these sensors, or of all.
Result<SeriesById> series_in(SQLite::Database& db, const std::vector<std::string>& sensors = {}) {
  std::string which;
  for (std::size_t i = 0; i < sensors.size(); ++i) which += i == 0 ? "WHERE s.text IN (?" : ", ?";
  if (!which.empty()) which += ")";
  SQLite::Statement select(db,
                           "SELECT i.id, s.text, q.text FROM series i JOIN word s ON s.id = i.sensor "
                           "JOIN word q ON q.id = i.quantity " +
                               which);
  for (std::size_t i = 0; i < sensors.size(); ++i) select.bind(static_cast<int>(i) + 1, sensors[i]);
  SeriesById found;
  while (select.executeStep()) {
    const auto quantity = quantity_named(select.getColumn(2).getString());
    if (!quantity) return fail(Errc::storage, "the journal holds an unknown quantity");
    found.insert({select.getColumn(0).getInt64(), {select.getColumn(1).getString(), *quantity}});
  }
  return found;
}

struct AmendedSample {
  Time time;
  std::optional<double> value;  // absent: it was taken back
};

std::unordered_map<std::int64_t, AmendedSample> amended_in(SQLite::Database& db) {
  std::unordered_map<std::int64_t, AmendedSample> all;
  SQLite::Statement select(db, "SELECT reading, time_ms, value FROM amended_sample");
  while (select.executeStep()) {
    AmendedSample& one = all[select.getColumn(0).getInt64()];
    one.time = from_ms(select.getColumn(1).getInt64());
    if (!select.isColumnNull(2)) one.value = select.getColumn(2).getDouble();
  }
  return all;
}

constexpr const char* kSelectRows =
    "SELECT r.id, r.time_ms, r.delay_ms, r.series, r.value, r.time_quality FROM reading r ";

JournalRow row_at(SQLite::Statement& select, const SeriesById& series) {
  const Series& of = series.at(select.getColumn(3).getInt64());
  const std::int64_t time = select.getColumn(1).getInt64();
  return JournalRow{select.getColumn(0).getInt64(), from_ms(time + select.getColumn(2).getInt64()),
                    Reading{from_ms(time), of.sensor, of.quantity, value_in(select.getColumn(4)),
                            quality_stored_as(select.getColumn(5).getInt())}};
}

}  // namespace

struct Journal::Statements {
  Statements(SQLite::Database& database, int kept) : db(database), refusals_kept(kept) {}

  SQLite::Database& db;
  int refusals_kept;
  RepeatedMessageRule repeated;
  std::unordered_map<std::string, std::int64_t> series;  // by sensor and quantity; committed ones only

  SQLite::Statement find_word{db, "SELECT id FROM word WHERE text = ?"};
  SQLite::Statement add_word{db, "INSERT INTO word(text) VALUES (?)"};
  SQLite::Statement find_series{db, "SELECT id FROM series WHERE sensor = ? AND quantity = ?"};
  SQLite::Statement add_series{db, "INSERT INTO series(sensor, quantity) VALUES (?, ?)"};
  // The + keeps SQLite from putting ?1 in the place of time_ms everywhere, past the index.
  SQLite::Statement add_reading{
      db,
      "INSERT INTO reading(time_ms, delay_ms, series, value, time_quality) SELECT ?1, ?2, ?3, ?4, ?5 "
      "WHERE ?5 <> 0 OR NOT EXISTS (SELECT 1 FROM reading WHERE time_quality = 0 "
      "AND time_ms >> 18 = ?1 >> 18 AND series = ?3 AND +time_ms = ?1 AND value = ?4 "
      "AND typeof(value) = typeof(?4))"};
  SQLite::Statement heard{db, "UPDATE series SET newest = ? WHERE id = ?"};
  SQLite::Statement add_refusal{
      db, "INSERT INTO refusal(received_ms, reason, topic, sensor, detail, head) VALUES (?, ?, ?, ?, ?, ?)"};
  SQLite::Statement count_refusal{db,
                                  "INSERT INTO refusal_count(reason, count) VALUES (?, ?) ON "
                                  "CONFLICT(reason) DO UPDATE SET count = count + excluded.count"};
  SQLite::Statement trim_refusals{db, "DELETE FROM refusal WHERE id <= (SELECT max(id) FROM refusal) - ?"};
  SQLite::Statement find_delivery{db, "SELECT digest FROM delivery WHERE packet_id = ?"};
  SQLite::Statement keep_delivery{db, "INSERT OR REPLACE INTO delivery(packet_id, digest) VALUES (?, ?)"};
  SQLite::Statement trim_deliveries{db, "DELETE FROM delivery WHERE number <= ?"};

  std::int64_t found_or_added(SQLite::Statement& find, SQLite::Statement& add,
                              const std::function<void(SQLite::Statement&)>& bind) {
    Use finding(find);
    bind(find);
    if (finding->executeStep()) return finding->getColumn(0).getInt64();
    Use adding(add);
    bind(add);
    adding->exec();
    return db.getLastInsertRowid();
  }

  std::int64_t word(const std::string& text) {
    return found_or_added(find_word, add_word, [&](SQLite::Statement& s) { s.bindNoCopy(1, text); });
  }

  // `fresh` receives what must be forgotten if the transaction fails.
  std::int64_t series_of(const Reading& reading, std::vector<std::pair<std::string, std::int64_t>>& fresh) {
    std::string key = reading.sensor + static_cast<char>(reading.quantity);
    if (const auto known = series.find(key); known != series.end()) return known->second;
    for (const auto& [new_key, id] : fresh) {
      if (new_key == key) return id;
    }
    const std::int64_t sensor = word(reading.sensor), quantity = word(name(reading.quantity));
    const std::int64_t id = found_or_added(find_series, add_series, [&](SQLite::Statement& s) {
      s.bind(1, sensor);
      s.bind(2, quantity);
    });
    fresh.emplace_back(std::move(key), id);
    return id;
  }

  void keep_delivery_of(const Message& message) {
    if (message.packet_id == 0) return;
    Use keep(keep_delivery);
    keep->bind(1, message.packet_id);
    keep->bind(2, static_cast<std::int64_t>(digest(message)));
    keep->exec();
    Use trim(trim_deliveries);
    trim->bind(1, db.getLastInsertRowid() - kDeliveriesRemembered);
    trim->exec();
  }

  std::optional<std::uint64_t> delivered_under(std::uint16_t packet_id) {
    if (packet_id == 0) return std::nullopt;
    Use find(find_delivery);
    find->bind(1, packet_id);
    if (!find->executeStep()) return std::nullopt;
    return static_cast<std::uint64_t>(find->getColumn(0).getInt64());
  }

  void refuse(const Refusal& refusal) {
    Use add(add_refusal);
    add->bind(1, to_ms(refusal.received));
    add->bind(2, name(refusal.reason));
    add->bind(3, cut(refusal.topic));
    add->bind(4, cut(refusal.sensor));
    add->bind(5, cut(refusal.detail));
    const std::string head = refusal.head.substr(0, kRefusalHeadBytes);
    add->bind(6, head.data(), static_cast<int>(head.size()));
    add->exec();
    Use count(count_refusal);
    count->bind(1, name(refusal.reason));
    count->bind(2, refusal.times);
    count->exec();
  }
};

Journal::Journal(Database& database, int refusals_kept)
    : statements_(std::make_unique<Statements>(database.connection().db, refusals_kept)) {}
Journal::Journal(Journal&&) noexcept = default;
Journal::~Journal() = default;

Status Journal::connected(bool session_present) {
  Statements& s = *statements_;
  return storage::guarded("write to the journal", [&]() -> Status {
    if (!session_present) s.db.exec("DELETE FROM delivery");
    s.repeated.connected();
    return success();
  });
}

Result<std::vector<JournalRow>> Journal::record(const Message& message, const Decoded& decoded) {
  for (const Reading& reading : decoded.readings) {
    if (!std::isfinite(reading.value)) {
      return fail(Errc::out_of_range, "a reading of " + reading.sensor + " is not a finite number");
    }
  }
  Statements& s = *statements_;
  return storage::guarded("write to the journal", [&]() -> Result<std::vector<JournalRow>> {
    std::vector<JournalRow> rows;
    if (decoded.readings.empty() && decoded.refusals.empty())
      return rows;  // nothing in it to be recognised later
    std::vector<std::pair<std::string, std::int64_t>> fresh_series;
    storage::WriteTransaction transaction(s.db);
    if (s.repeated.repeats(message, s.delivered_under(message.packet_id))) {
      s.repeated.kept(message);
      return rows;
    }
    for (const Reading& reading : decoded.readings) {
      const std::int64_t series = s.series_of(reading, fresh_series);
      Use add(s.add_reading);
      add->bind(1, to_ms(reading.time));
      add->bind(2, to_ms(message.received) - to_ms(reading.time));
      add->bind(3, series);
      bind_value(s.add_reading, 4, reading.value);
      add->bind(5, stored(reading.time_quality));
      if (add->exec() == 0) continue;
      rows.push_back({s.db.getLastInsertRowid(), message.received, reading});
      Use heard(s.heard);
      heard->bind(1, rows.back().id);
      heard->bind(2, series);
      heard->exec();
    }
    for (const Refusal& refusal : decoded.refusals) s.refuse(refusal);
    if (!decoded.refusals.empty()) {
      Use trim(s.trim_refusals);
      trim->bind(1, s.refusals_kept);
      trim->exec();
    }
    s.keep_delivery_of(message);
    transaction.commit();
    s.repeated.kept(message);
    if (s.series.size() > kSeriesRemembered) s.series.clear();
    s.series.insert(fresh_series.begin(), fresh_series.end());
    return rows;
  });
}

Result<std::int64_t> Journal::rows(const RowQuery& query, const std::function<void(const JournalRow&)>& row) {
  return storage::guarded("read the journal", [&]() -> Result<std::int64_t> {
    if (query.sensors.empty()) return query.after_id;
    SQLite::Database& db = statements_->db;
    BOOST_OUTCOME_TRY(series, series_in(db, query.sensors));
    std::string wanted;
    for (const auto& [id, of] : series)
      fmt::format_to(std::back_inserter(wanted), "{}{}", wanted.empty() ? "" : ", ", id);
    const auto amended = amended_in(db);
    SQLite::Statement select(db, kSelectRows + fmt::format("WHERE r.id > ? AND r.id <= ? AND "
                                                           "r.time_ms + r.delay_ms >= ? AND r.series IN ({}) "
                                                           "ORDER BY r.id",
                                                           wanted));
    select.bind(1, query.after_id);
    select.bind(2, query.until_id);
    select.bind(3, query.received_from ? to_ms(*query.received_from) : INT64_MIN);
    std::int64_t last = query.after_id;
    for (std::int64_t left = query.limit; left > 0 && select.executeStep();) {
      JournalRow read = row_at(select, series);
      if (const auto sample = amended.find(read.id); sample != amended.end()) {
        if (!sample->second.value) continue;  // it was taken back
        read.reading.time = sample->second.time;
        read.reading.value = *sample->second.value;
      }
      last = read.id;
      --left;
      row(read);
    }
    return last;
  });
}

Result<std::vector<JournalRow>> Journal::newest_of_each() {
  return storage::guarded("read the journal", [&]() -> Result<std::vector<JournalRow>> {
    SQLite::Database& db = statements_->db;
    BOOST_OUTCOME_TRY(series, series_in(db));
    const auto amended = amended_in(db);
    SQLite::Statement select(
        db, kSelectRows + std::string("WHERE r.id IN (SELECT newest FROM series) ORDER BY r.id"));
    std::vector<JournalRow> rows;
    while (select.executeStep()) {
      JournalRow& row = rows.emplace_back(row_at(select, series));
      const auto sample = amended.find(row.id);
      if (sample == amended.end()) continue;
      if (sample->second.value) row.reading.value = *sample->second.value;
      row.reading.time = sample->second.time;
    }
    return rows;
  });
}

Status Journal::forget(const std::string& sensor) {
  return storage::guarded("forget a sensor", [&]() -> Status {
    SQLite::Statement remove(
        statements_->db,
        "UPDATE series SET newest = NULL WHERE sensor = (SELECT id FROM word WHERE text = ?)");
    remove.bind(1, sensor);
    remove.exec();
    return success();
  });
}

Result<JournalCounts> Journal::counts() {
  return storage::guarded("read the journal", [&]() -> Result<JournalCounts> {
    JournalCounts counts;
    // The newest is never deleted, so its id is the number of all there ever were.
    counts.readings = statements_->db.execAndGet("SELECT coalesce(max(id), 0) FROM reading").getInt64();
    SQLite::Statement select(statements_->db, "SELECT reason, count FROM refusal_count");
    while (select.executeStep()) {
      counts.refusals[select.getColumn(0).getString()] = select.getColumn(1).getInt64();
    }
    return counts;
  });
}

Result<std::vector<RefusalRow>> Journal::recent_refusals(int limit) {
  return storage::guarded("read the journal", [&]() -> Result<std::vector<RefusalRow>> {
    std::vector<RefusalRow> rows;
    SQLite::Statement select(statements_->db,
                             "SELECT id, received_ms, reason, topic, sensor, detail, head FROM refusal "
                             "ORDER BY id DESC LIMIT ?");
    select.bind(1, limit);
    while (select.executeStep()) {
      rows.push_back({select.getColumn(0).getInt64(), from_ms(select.getColumn(1).getInt64()),
                      select.getColumn(2).getString(), select.getColumn(3).getString(),
                      select.getColumn(4).getString(), select.getColumn(5).getString(),
                      select.getColumn(6).getString()});
    }
    return rows;
  });
}

Result<std::vector<SensorHeard>> Journal::sensors() {
  return storage::guarded("read the journal", [&]() -> Result<std::vector<SensorHeard>> {
    std::vector<SensorHeard> heard;
    SQLite::Statement select(
        statements_->db,
        "SELECT w.text, max(r.time_ms + r.delay_ms) FROM series s JOIN word w ON w.id = s.sensor "
        "JOIN reading r ON r.id = s.newest GROUP BY w.text ORDER BY w.text");
    while (select.executeStep()) {
      heard.push_back({select.getColumn(0).getString(), from_ms(select.getColumn(1).getInt64())});
    }
    return heard;
  });
}

}  // namespace gyle
