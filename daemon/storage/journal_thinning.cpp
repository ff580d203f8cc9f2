#include "storage/journal_thinning.h"

#include "storage/connection.h"

namespace gyle {
namespace {

// The rows that a batch uses, as read_history() chooses them.
constexpr const char* kUsedBy =
    "FROM reading r JOIN series i ON i.id = r.series JOIN word s ON s.id = i.sensor "
    "JOIN assignment g ON g.batch = b.id AND g.sensor = s.text AND r.id > g.after_reading "
    "AND r.id <= ifnull(g.until_reading, r.id) AND r.time_ms + r.delay_ms >= b.pitched_ms - 600000 ";

// The numbers of those that go, into a table of this connection.
ReadingsThinned choose(SQLite::Database& db, std::int64_t batch, Duration every) {
  db.exec("CREATE TEMP TABLE IF NOT EXISTS leaving(id INTEGER PRIMARY KEY); DELETE FROM leaving");
  // Only where all of them are, which spares the rest of the journal.
  const std::string chosen =
      "WITH b AS (SELECT id, pitched_ms FROM batch WHERE id = ?1), "
      "place AS (SELECT ifnull((SELECT after_reading FROM batch_end WHERE batch = ?1), min(after_reading)) "
      "AS first, "
      "max(ifnull(until_reading, 9223372036854775807)) AS last FROM assignment WHERE batch = ?1) ";
  const std::string of_it =
      std::string(
          "FROM b CROSS JOIN place CROSS JOIN reading r ON r.id > place.first AND r.id <= place.last ") +
      std::string(kUsedBy).substr(std::string_view("FROM reading r ").size());
  SQLite::Statement count(db, chosen + "SELECT count(*) " + of_it);
  count.bind(1, batch);
  count.executeStep();
  ReadingsThinned readings;
  readings.before = count.getColumn(0).getInt64();
  count.reset();
  SQLite::Statement choose(
      db, chosen + ", free AS (SELECT r.id, r.series, r.time_ms / ?2 AS while " + of_it +
              "WHERE i.quantity NOT IN (SELECT id FROM word WHERE text = 'sample') "
              "AND r.id NOT IN (SELECT reading FROM amended_sample) "
              "AND r.id NOT IN (SELECT newest FROM series WHERE newest IS NOT NULL) "
              "AND r.id <> (SELECT max(id) FROM reading) "
              "AND NOT EXISTS (SELECT 1 FROM assignment h JOIN batch o ON o.id = h.batch WHERE o.id <> ?1 "
              "AND h.sensor = s.text AND r.id > h.after_reading AND r.id <= ifnull(h.until_reading, r.id) "
              "AND r.time_ms + r.delay_ms >= o.pitched_ms - 600000 "
              "AND o.id NOT IN (SELECT batch FROM thinned))) "
              "INSERT OR IGNORE INTO temp.leaving SELECT id FROM free WHERE id NOT IN "
              "(SELECT min(id) FROM free GROUP BY series, while)");
  choose.bind(1, batch);
  choose.bind(2, std::int64_t{every.count()});
  readings.after = readings.before - choose.exec();
  return readings;
}

Status may_be_thinned(SQLite::Database& db, std::int64_t batch) {
  SQLite::Statement select(db, "SELECT name, packaged_ms FROM batch WHERE id = ?");
  select.bind(1, batch);
  if (!select.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
  if (select.isColumnNull(1)) {
    return fail(Errc::conflict, fmt::format("the batch \"{}\" is in its vessel; it needs all of its readings",
                                            select.getColumn(0).getString()));
  }
  return success();
}

}  // namespace

Result<ReadingsThinned> JournalThinning::count(std::int64_t batch, Duration every) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("count the readings of the batch", [&]() -> Result<ReadingsThinned> {
    BOOST_OUTCOME_TRYV(may_be_thinned(db, batch));
    return choose(db, batch, every);
  });
}

Result<ReadingsThinned> JournalThinning::thin(std::int64_t batch, Duration every, const std::string& course,
                                              const std::optional<StoredEnding>& ending) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("thin the readings of the batch", [&]() -> Result<ReadingsThinned> {
    storage::WriteTransaction transaction(db);
    BOOST_OUTCOME_TRYV(may_be_thinned(db, batch));
    if (ending) {
      SQLite::Statement keep(
          db, "INSERT OR REPLACE INTO batch_end(batch, after_reading, ending) VALUES (?, ?, ?)");
      keep.bind(1, batch);
      keep.bind(2, ending->after_reading);
      keep.bind(3, ending->text);
      keep.exec();
    }
    const ReadingsThinned readings = choose(db, batch, every);
    db.exec("DELETE FROM reading WHERE id IN (SELECT id FROM temp.leaving)");
    SQLite::Statement note(db,
                           "INSERT INTO thinned(batch, every_ms, removed, course) VALUES (?1, ?2, ?3, ?4) "
                           "ON CONFLICT DO UPDATE SET every_ms = max(every_ms, ?2), removed = removed + ?3, "
                           "course = ifnull(course, ?4)");
    note.bind(1, batch);
    note.bind(2, std::int64_t{every.count()});
    note.bind(3, readings.before - readings.after);
    note.bind(4, course);
    note.exec();
    transaction.commit();
    return readings;
  });
}

Status JournalThinning::compact() {
  return storage::guarded("make the database smaller", [&]() -> Status {
    database_->connection().db.exec("VACUUM; PRAGMA wal_checkpoint(TRUNCATE)");
    return success();
  });
}

}  // namespace gyle
