#include "storage/note_store.h"

#include "storage/connection.h"

namespace gyle {

Result<std::int64_t> NoteStore::add(std::int64_t batch, Time time, const std::string& text, bool tasting) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the note", [&]() -> Result<std::int64_t> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement known(db, "SELECT 1 FROM batch WHERE id = ?");
    known.bind(1, batch);
    if (!known.executeStep()) return fail(Errc::not_found, fmt::format("there is no batch {}", batch));
    SQLite::Statement insert(
        db, "INSERT INTO note(batch, time_ms, text) VALUES (?, ?, ?) ON CONFLICT DO NOTHING");
    insert.bind(1, batch);
    insert.bind(2, storage::to_ms(time));
    insert.bind(3, text);
    if (insert.exec() == 0) return fail(Errc::conflict, "this note has been written already");
    const std::int64_t id = db.getLastInsertRowid();
    if (tasting) {
      SQLite::Statement mark(db, "INSERT INTO tasting(note) VALUES (?)");
      mark.bind(1, id);
      mark.exec();
    }
    transaction.commit();
    return id;
  });
}

Result<std::vector<StoredNote>> NoteStore::of(std::int64_t batch) {
  return storage::guarded("read the notes", [&]() -> Result<std::vector<StoredNote>> {
    SQLite::Statement rows(database_->connection().db,
                           "SELECT id, time_ms, text, id IN (SELECT note FROM tasting) FROM note "
                           "WHERE batch = ? ORDER BY time_ms, id");
    rows.bind(1, batch);
    std::vector<StoredNote> notes;
    while (rows.executeStep()) {
      notes.push_back({rows.getColumn(0).getInt64(), storage::from_ms(rows.getColumn(1).getInt64()),
                       rows.getColumn(2).getString(), rows.getColumn(3).getInt() != 0});
    }
    return notes;
  });
}

}  // namespace gyle
