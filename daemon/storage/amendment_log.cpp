#include "storage/amendment_log.h"

#include <array>
#include <charconv>

#include "base/rfc3339.h"
#include "storage/connection.h"
#include "storage/judging_due.h"

namespace gyle {
namespace {

using storage::from_ms;
using storage::to_ms;

// How one kind of thing is read and written. `current` is "" when there is none.
struct Access {
  Result<std::string> (*current)(SQLite::Database&, std::int64_t batch, std::int64_t row);
  Status (*put)(SQLite::Database&, std::int64_t batch, std::int64_t row, const std::string& after);
  bool judged;  // the judgement depends on it
};

auto no_such(const char* what, std::int64_t number) {
  return fail(Errc::not_found, fmt::format("this batch has no {} with the number {}", what, number));
}

Result<std::string> description(SQLite::Database& db, std::int64_t batch, std::int64_t) {
  SQLite::Statement select(db, "SELECT pitched_ms, name, spec FROM batch WHERE id = ?");
  select.bind(1, batch);
  if (!select.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
  return description_text(from_ms(select.getColumn(0).getInt64()), select.getColumn(1).getString(),
                          select.getColumn(2).getString());
}

Status put_description(SQLite::Database& db, std::int64_t batch, std::int64_t, const std::string& after) {
  BOOST_OUTCOME_TRY(dated, parse_dated_text(after));
  const std::size_t line = std::min(dated.text.find('\n'), dated.text.size());
  const std::string name = dated.text.substr(0, line);
  SQLite::Statement rival(db,
                          "SELECT o.vessel FROM batch b JOIN batch o ON o.id <> b.id AND o.name = ? AND "
                          "o.packaged_ms IS NULL WHERE b.id = ? AND b.packaged_ms IS NULL");
  rival.bind(1, name);
  rival.bind(2, batch);
  if (rival.executeStep()) {
    return fail(Errc::conflict,
                fmt::format("a batch named \"{}\" is in vessel {}; give this one another name", name,
                            rival.getColumn(0).getString()));
  }
  SQLite::Statement update(db, "UPDATE batch SET pitched_ms = ?, name = ?, spec = ? WHERE id = ?");
  update.bind(1, to_ms(dated.time));
  update.bind(2, name);
  update.bind(3, dated.text.substr(std::min(line + 1, dated.text.size())));
  update.bind(4, batch);
  update.exec();
  return success();
}

Result<std::string> sample(SQLite::Database& db, std::int64_t batch, std::int64_t row) {
  SQLite::Statement select(
      db,
      "SELECT ifnull(a.time_ms, r.time_ms), CASE WHEN a.reading IS NOT NULL THEN a.value "
      "WHEN typeof(r.value) = 'integer' THEN r.value / 1e6 ELSE r.value END "
      "FROM reading r JOIN series i ON i.id = r.series JOIN word s ON s.id = i.sensor "
      "JOIN word q ON q.id = i.quantity "
      "JOIN assignment g ON g.batch = ? AND g.sensor = s.text AND g.after_reading < r.id "
      "AND r.id <= ifnull(g.until_reading, r.id) "
      "LEFT JOIN amended_sample a ON a.reading = r.id WHERE r.id = ? AND q.text = 'sample'");
  select.bind(1, batch);
  select.bind(2, row);
  if (!select.executeStep()) return no_such("sample", row);
  if (select.isColumnNull(1)) return std::string();
  return dated_text(from_ms(select.getColumn(0).getInt64()),
                    fmt::format("{}", select.getColumn(1).getDouble()));
}

Status put_sample(SQLite::Database& db, std::int64_t, std::int64_t row, const std::string& after) {
  SQLite::Statement write(db,
                          "INSERT INTO amended_sample(reading, time_ms, value) VALUES (?1, ?2, ?3) "
                          "ON CONFLICT DO UPDATE SET time_ms = ?2, value = ?3");
  write.bind(1, row);
  if (after.empty()) {
    write.bind(2, 0);
    write.bind(3);
  } else {
    BOOST_OUTCOME_TRY(dated, parse_dated_text(after));
    double gravity = 0;
    const char* const end = dated.text.data() + dated.text.size();
    const auto [stop, error] = std::from_chars(dated.text.data(), end, gravity);
    if (error != std::errc{} || stop != end) {
      return fail(Errc::malformed, fmt::format("'{}' is no gravity", dated.text));
    }
    write.bind(2, to_ms(dated.time));
    write.bind(3, gravity);
  }
  write.exec();
  return success();
}

Result<std::string> note(SQLite::Database& db, std::int64_t batch, std::int64_t row) {
  SQLite::Statement select(db, "SELECT time_ms, text FROM note WHERE id = ? AND batch = ?");
  select.bind(1, row);
  select.bind(2, batch);
  if (select.executeStep()) {
    return dated_text(from_ms(select.getColumn(0).getInt64()), select.getColumn(1).getString());
  }
  // A deleted note is found by its amendment.
  SQLite::Statement gone(db, "SELECT 1 FROM amendment WHERE batch = ? AND subject = 'note' AND row = ?");
  gone.bind(1, batch);
  gone.bind(2, row);
  if (!gone.executeStep()) return no_such("note", row);
  return std::string();
}

Status put_note(SQLite::Database& db, std::int64_t batch, std::int64_t row, const std::string& after) {
  SQLite::Statement remove(db, "DELETE FROM note WHERE id = ?");
  remove.bind(1, row);
  remove.exec();
  if (after.empty()) return success();
  BOOST_OUTCOME_TRY(dated, parse_dated_text(after));
  SQLite::Statement insert(
      db, "INSERT INTO note(id, batch, time_ms, text) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING");
  insert.bind(1, row);
  insert.bind(2, batch);
  insert.bind(3, to_ms(dated.time));
  insert.bind(4, dated.text);
  if (insert.exec() == 0) return fail(Errc::conflict, "there is another note of that time and text already");
  return success();
}

Result<std::string> packaged(SQLite::Database& db, std::int64_t batch, std::int64_t) {
  SQLite::Statement select(db, "SELECT packaged_ms FROM batch WHERE id = ?");
  select.bind(1, batch);
  if (!select.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
  return select.isColumnNull(0) ? std::string() : format_rfc3339(from_ms(select.getColumn(0).getInt64()));
}

// Back in its vessel, a batch uses all readings that it would have used had it never left.
Status put_packaged(SQLite::Database& db, std::int64_t batch, std::int64_t, const std::string& after) {
  SQLite::Statement update(db, "UPDATE batch SET packaged_ms = ? WHERE id = ?");
  update.bind(2, batch);
  if (!after.empty()) {
    BOOST_OUTCOME_TRY(time, parse_rfc3339(after));
    update.bind(1, to_ms(time));
    update.exec();
    return success();
  }
  SQLite::Statement rival(db,
                          "SELECT o.name, o.vessel FROM batch b JOIN batch o ON o.packaged_ms IS NULL AND "
                          "(o.vessel = b.vessel OR o.name = b.name) WHERE b.id = ?");
  rival.bind(1, batch);
  if (rival.executeStep()) {
    return fail(Errc::conflict,
                fmt::format("the batch \"{}\" is in {} now; this one cannot be back beside it",
                            rival.getColumn(0).getString(), rival.getColumn(1).getString()));
  }
  update.bind(1);
  update.exec();
  SQLite::Statement mark(db,
                         "UPDATE assignment SET until_reading = NULL WHERE batch = ?1 AND until_reading = "
                         "(SELECT max(until_reading) FROM assignment WHERE batch = ?1)");
  mark.bind(1, batch);
  mark.exec();
  return success();
}

constexpr std::array<Access, 4> kAccess{{{description, put_description, true},
                                         {sample, put_sample, true},
                                         {note, put_note, false},
                                         {packaged, put_packaged, true}}};

constexpr const char* kSelect =
    "SELECT id, time_ms, subject, row, before, after, undoes, EXISTS (SELECT 1 FROM amendment u WHERE "
    "u.undoes "
    "= a.id) FROM amendment a WHERE batch = ? ORDER BY id";

StoredAmendment read(SQLite::Statement& row) {
  StoredAmendment amendment;
  amendment.id = row.getColumn(0).getInt64();
  amendment.time = from_ms(row.getColumn(1).getInt64());
  const std::string thing = row.getColumn(2).getString();
  for (const AmendedThing one :
       {AmendedThing::description, AmendedThing::sample, AmendedThing::note, AmendedThing::packaged}) {
    if (thing == name(one)) amendment.thing = one;
  }
  amendment.row = row.getColumn(3).getInt64();
  amendment.before = row.getColumn(4).getString();
  amendment.after = row.getColumn(5).getString();
  if (!row.isColumnNull(6)) amendment.undoes = row.getColumn(6).getInt64();
  amendment.undone = row.getColumn(7).getInt() != 0;
  return amendment;
}

std::vector<StoredAmendment> all_of(SQLite::Database& db, std::int64_t batch) {
  SQLite::Statement rows(db, kSelect);
  rows.bind(1, batch);
  std::vector<StoredAmendment> amendments;
  while (rows.executeStep()) amendments.push_back(read(rows));
  return amendments;
}

// In the caller's transaction.
Result<StoredAmendment> make(SQLite::Database& db, std::int64_t batch, AmendedThing thing, std::int64_t row,
                             const std::string& after, std::optional<std::int64_t> undoes, Time now) {
  const Access& access = kAccess[static_cast<std::size_t>(thing)];
  BOOST_OUTCOME_TRY(before, access.current(db, batch, row));
  if (before == after) return fail(Errc::conflict, "nothing changes: it is so already");
  BOOST_OUTCOME_TRYV(access.put(db, batch, row, after));
  SQLite::Statement insert(db,
                           "INSERT INTO amendment(batch, time_ms, subject, row, before, after, undoes) "
                           "VALUES (?, ?, ?, ?, ?, ?, ?)");
  insert.bind(1, batch);
  insert.bind(2, to_ms(now));
  insert.bind(3, name(thing));
  insert.bind(4, row);
  insert.bind(5, before);
  insert.bind(6, after);
  if (undoes) {
    insert.bind(7, *undoes);
  } else {
    insert.bind(7);
  }
  insert.exec();
  const std::int64_t id = db.getLastInsertRowid();
  if (access.judged) storage::mark_judging_due(db, batch);
  return StoredAmendment{id, now, thing, row, before, after, undoes, false};
}

}  // namespace

std::string dated_text(Time time, const std::string& text) { return format_rfc3339(time) + " " + text; }

std::string description_text(Time pitched, const std::string& name, const std::string& spec) {
  return dated_text(pitched, name + "\n" + spec);
}

Result<DatedText> parse_dated_text(const std::string& text) {
  const std::size_t space = std::min(text.find(' '), text.size());
  BOOST_OUTCOME_TRY(time, parse_rfc3339(text.substr(0, space)));
  if (space == text.size())
    return fail(Errc::malformed, fmt::format("'{}' has nothing after its time", text));
  return DatedText{time, text.substr(space + 1)};
}

Result<StoredAmendment> AmendmentLog::amend(std::int64_t batch, AmendedThing thing, std::int64_t row,
                                            const std::string& after, Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("put it right", [&]() -> Result<StoredAmendment> {
    storage::WriteTransaction transaction(db);
    BOOST_OUTCOME_TRY(made, make(db, batch, thing, row, after, {}, now));
    transaction.commit();
    return made;
  });
}

Result<StoredAmendment> AmendmentLog::undo(std::int64_t batch, std::int64_t amendment, Time now) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("undo the amendment", [&]() -> Result<StoredAmendment> {
    storage::WriteTransaction transaction(db);
    const std::vector<StoredAmendment> all = all_of(db, batch);
    const StoredAmendment* wrong = nullptr;
    for (const StoredAmendment& one : all) {
      if (amendment == 0 ? !one.undone && !one.undoes : one.id == amendment) wrong = &one;
    }
    if (wrong == nullptr) {
      return amendment == 0 ? fail(Errc::not_found, "nothing has been amended that could be undone")
                            : fail(Errc::not_found, fmt::format("this batch has no amendment {}", amendment));
    }
    if (wrong->undone) return fail(Errc::conflict, fmt::format("amendment {} is undone already", wrong->id));
    BOOST_OUTCOME_TRY(current,
                      kAccess[static_cast<std::size_t>(wrong->thing)].current(db, batch, wrong->row));
    if (current != wrong->after) {
      return fail(Errc::conflict, fmt::format("the {} has changed again since amendment {}; undo that first",
                                              name(wrong->thing), wrong->id));
    }
    BOOST_OUTCOME_TRY(made, make(db, batch, wrong->thing, wrong->row, wrong->before, wrong->id, now));
    transaction.commit();
    return made;
  });
}

Result<std::vector<StoredAmendment>> AmendmentLog::of(std::int64_t batch) {
  return storage::guarded("read the amendments", [&]() -> Result<std::vector<StoredAmendment>> {
    return all_of(database_->connection().db, batch);
  });
}

}  // namespace gyle
