#include "storage/journal.h"

#include <algorithm>
#include <cmath>
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
constexpr std::size_t kWordsRemembered = 10'000;

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

constexpr const char* kSelectRows =
    "SELECT r.id, r.received_ms, ifnull(a.time_ms, r.time_ms), s.text, q.text, ifnull(a.value, r.value), "
    "r.time_quality FROM reading r JOIN word s ON s.id = r.sensor JOIN word q ON q.id = r.quantity "
    "LEFT JOIN amended_sample a ON a.reading = r.id ";
// Deleted samples are skipped.
constexpr const char* kCounts = "(a.reading IS NULL OR a.value IS NOT NULL) ";

Result<JournalRow> row_at(SQLite::Statement& select) {
  const auto quantity = quantity_named(select.getColumn(4).getString());
  if (!quantity) return fail(Errc::storage, "the journal holds an unknown quantity");
  return JournalRow{
      select.getColumn(0).getInt64(), from_ms(select.getColumn(1).getInt64()),
      Reading{from_ms(select.getColumn(2).getInt64()), select.getColumn(3).getString(), *quantity,
              select.getColumn(5).getDouble(), quality_stored_as(select.getColumn(6).getInt())}};
}

}  // namespace

struct Journal::Statements {
  Statements(SQLite::Database& database, int kept) : db(database), refusals_kept(kept) {}

  SQLite::Database& db;
  int refusals_kept;
  RepeatedMessageRule repeated;
  std::unordered_map<std::string, std::int64_t> words;  // committed ones only

  SQLite::Statement find_word{db, "SELECT id FROM word WHERE text = ?"};
  SQLite::Statement add_word{db, "INSERT INTO word(text) VALUES (?)"};
  SQLite::Statement add_reading{
      db,
      "INSERT INTO reading(received_ms, time_ms, sensor, quantity, value, time_quality) VALUES (?, ?, ?, ?, "
      "?, ?) "
      "ON CONFLICT(sensor, quantity, time_ms, value) WHERE time_quality = 0 DO NOTHING"};
  SQLite::Statement heard{db,
                          "INSERT INTO sensor(sensor, heard_ms) VALUES (?, ?) "
                          "ON CONFLICT(sensor) DO UPDATE SET heard_ms = max(heard_ms, excluded.heard_ms)"};
  SQLite::Statement add_refusal{
      db, "INSERT INTO refusal(received_ms, reason, topic, sensor, detail, head) VALUES (?, ?, ?, ?, ?, ?)"};
  SQLite::Statement count_refusal{db,
                                  "INSERT INTO refusal_count(reason, count) VALUES (?, ?) ON "
                                  "CONFLICT(reason) DO UPDATE SET count = count + excluded.count"};
  SQLite::Statement trim_refusals{db, "DELETE FROM refusal WHERE id <= (SELECT max(id) FROM refusal) - ?"};
  SQLite::Statement find_delivery{db, "SELECT digest FROM delivery WHERE packet_id = ?"};
  SQLite::Statement keep_delivery{db, "INSERT OR REPLACE INTO delivery(packet_id, digest) VALUES (?, ?)"};
  SQLite::Statement trim_deliveries{db, "DELETE FROM delivery WHERE number <= ?"};

  // `fresh` receives what must be forgotten if the transaction fails.
  std::int64_t word(const std::string& text, std::vector<std::pair<std::string, std::int64_t>>& fresh) {
    if (const auto known = words.find(text); known != words.end()) return known->second;
    for (const auto& [new_text, id] : fresh) {
      if (new_text == text) return id;
    }
    Use find(find_word);
    find->bindNoCopy(1, text);
    std::int64_t id = 0;
    if (find->executeStep()) {
      id = find->getColumn(0).getInt64();
    } else {
      Use add(add_word);
      add->bindNoCopy(1, text);
      add->exec();
      id = db.getLastInsertRowid();
    }
    fresh.emplace_back(text, id);
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
    std::vector<std::pair<std::string, std::int64_t>> fresh_words;
    storage::WriteTransaction transaction(s.db);
    if (s.repeated.repeats(message, s.delivered_under(message.packet_id))) {
      s.repeated.kept(message);
      return rows;
    }
    for (const Reading& reading : decoded.readings) {
      const std::int64_t sensor = s.word(reading.sensor, fresh_words);
      Use add(s.add_reading);
      add->bind(1, to_ms(message.received));
      add->bind(2, to_ms(reading.time));
      add->bind(3, sensor);
      add->bind(4, s.word(name(reading.quantity), fresh_words));
      add->bind(5, reading.value);
      add->bind(6, stored(reading.time_quality));
      if (add->exec() == 0) continue;
      rows.push_back({s.db.getLastInsertRowid(), message.received, reading});
      Use heard(s.heard);
      heard->bind(1, sensor);
      heard->bind(2, to_ms(message.received));
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
    if (s.words.size() > kWordsRemembered) s.words.clear();
    s.words.insert(fresh_words.begin(), fresh_words.end());
    return rows;
  });
}

Result<std::int64_t> Journal::rows(const RowQuery& query, const std::function<void(const JournalRow&)>& row) {
  return storage::guarded("read the journal", [&]() -> Result<std::int64_t> {
    if (query.sensors.empty()) return query.after_id;
    std::string marks = "?";
    for (std::size_t i = 1; i < query.sensors.size(); ++i) marks += ", ?";
    // The + keeps SQLite on the table itself, which is in the order wanted.
    SQLite::Statement select(statements_->db, std::string(kSelectRows) + "WHERE " + kCounts +
                                                  "AND r.id > ? AND r.id <= ? AND r.received_ms >= ? AND "
                                                  "+r.sensor IN (SELECT id FROM word WHERE text IN (" +
                                                  marks + ")) ORDER BY r.id LIMIT ?");
    int place = 0;
    select.bind(++place, query.after_id);
    select.bind(++place, query.until_id);
    select.bind(++place, query.received_from ? to_ms(*query.received_from) : INT64_MIN);
    for (const std::string& sensor : query.sensors) select.bind(++place, sensor);
    select.bind(++place, query.limit);
    std::int64_t last = query.after_id;
    while (select.executeStep()) {
      BOOST_OUTCOME_TRY(read, row_at(select));
      last = read.id;
      row(read);
    }
    return last;
  });
}

Result<std::vector<JournalRow>> Journal::newest_of_each() {
  return storage::guarded("read the journal", [&]() -> Result<std::vector<JournalRow>> {
    SQLite::Statement select(statements_->db,
                             std::string(kSelectRows) +
                                 "WHERE r.id IN (SELECT max(id) FROM reading GROUP BY sensor, quantity) "
                                 "AND r.sensor IN (SELECT sensor FROM sensor) ORDER BY r.id");
    std::vector<JournalRow> rows;
    while (select.executeStep()) {
      BOOST_OUTCOME_TRY(row, row_at(select));
      rows.push_back(std::move(row));
    }
    return rows;
  });
}

Status Journal::forget(const std::string& sensor) {
  return storage::guarded("forget a sensor", [&]() -> Status {
    SQLite::Statement remove(statements_->db,
                             "DELETE FROM sensor WHERE sensor = (SELECT id FROM word WHERE text = ?)");
    remove.bind(1, sensor);
    remove.exec();
    return success();
  });
}

Result<JournalCounts> Journal::counts() {
  return storage::guarded("read the journal", [&]() -> Result<JournalCounts> {
    JournalCounts counts;
    // Rows are never deleted, so the newest id is their number.
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
        "SELECT w.text, s.heard_ms FROM sensor s JOIN word w ON w.id = s.sensor ORDER BY w.text");
    while (select.executeStep()) {
      heard.push_back({select.getColumn(0).getString(), from_ms(select.getColumn(1).getInt64())});
    }
    return heard;
  });
}

}  // namespace gyle
