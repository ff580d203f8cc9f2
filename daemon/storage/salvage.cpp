#include "storage/salvage.h"

#include <sqlite3.h>

#include <algorithm>
#include <limits>

#include "storage/connection.h"
#include "storage/database_lock.h"
#include "storage/migration.h"

namespace gyle {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kLastRow = std::numeric_limits<std::int64_t>::max();

fs::path beside(const fs::path& path, const char* suffix) { return fs::path(path) += suffix; }

// Files that are deleted at the end of the scope.
struct Temporary {
  fs::path path;
  ~Temporary() {
    for (const char* suffix : {"", "-journal", "-wal", "-shm"}) {
      std::error_code ignored;
      fs::remove(beside(path, suffix), ignored);
    }
  }
};

std::vector<std::string> names(SQLite::Database& db, const std::string& select) {
  std::vector<std::string> found;
  SQLite::Statement rows(db, select);
  while (rows.executeStep()) found.push_back(rows.getColumn(0).getString());
  return found;
}

void copy_row(SQLite::Statement& from, int first, int columns, SQLite::Statement& to) {
  for (int i = 0; i < columns; ++i) {
    const SQLite::Column value = from.getColumn(first + i);
    if (value.isInteger()) {
      to.bind(i + 1, value.getInt64());
    } else if (value.isFloat()) {
      to.bind(i + 1, value.getDouble());
    } else if (value.isText()) {
      to.bind(i + 1, value.getString());
    } else if (value.isBlob()) {
      to.bind(i + 1, value.getBlob(), value.getBytes());
    } else {
      to.bind(i + 1);
    }
  }
}

// A row that breaks a rule of the new table is left out, like one that cannot be read.
void insert(SQLite::Statement& to, SalvagedTable& table) {
  try {
    table.rows += to.exec();
  } catch (const SQLite::Exception& e) {
    if (e.getErrorCode() != SQLITE_CONSTRAINT) throw;
    table.whole = false;
  }
  to.tryReset();
  to.clearBindings();
}

bool is_damage(const SQLite::Exception& e) {
  return e.getErrorCode() == SQLITE_CORRUPT || e.getErrorCode() == SQLITE_IOERR;
}

SalvagedTable copy_table(SQLite::Database& from, SQLite::Database& to, const std::string& name) {
  SalvagedTable table{name};
  std::string columns, marks;
  int count = 0;
  for (const std::string& column : names(to, "SELECT name FROM pragma_table_info('" + name + "')")) {
    columns += (count == 0 ? "\"" : ", \"") + column + "\"";
    marks += count == 0 ? "?" : ", ?";
    ++count;
  }
  SQLite::Statement add(to, "INSERT OR IGNORE INTO \"" + name + "\"(" + columns + ") VALUES (" + marks + ")");
  const bool numbered = to.execAndGet("SELECT count(*) FROM sqlite_master WHERE name = '" + name +
                                      "' AND sql LIKE '%WITHOUT ROWID%'")
                            .getInt() == 0;
  std::int64_t after = std::numeric_limits<std::int64_t>::min();
  // After an unreadable row: skip further and further, until one can be read.
  for (std::int64_t step = 1;;) {
    try {
      SQLite::Statement rows(from, numbered ? "SELECT rowid, " + columns + " FROM \"" + name +
                                                  "\" NOT INDEXED WHERE rowid > ? ORDER BY rowid"
                                            : "SELECT 0, " + columns + " FROM \"" + name + "\"");
      if (numbered) rows.bind(1, after);
      while (rows.executeStep()) {
        copy_row(rows, 1, count, add);
        insert(add, table);
        after = rows.getColumn(0).getInt64();
        step = 1;
      }
      return table;
    } catch (const SQLite::Exception& e) {
      if (!is_damage(e)) throw;
      table.whole = false;
      add.tryReset();
      if (!numbered) return table;
      after = std::max<std::int64_t>(after, 0);
      if (after > kLastRow - step) return table;
      after += step;
      if (step <= kLastRow / 2) step *= 2;
    }
  }
}

}  // namespace

Result<std::vector<SalvagedTable>> salvage(const fs::path& from, const fs::path& to) {
  std::error_code error;
  if (!fs::exists(from, error))
    return fail(Errc::not_found, fmt::format("there is no file {}", from.string()));
  if (fs::exists(to, error)) {
    return fail(Errc::conflict, fmt::format("there is a file {} already; give another name", to.string()));
  }
  BOOST_OUTCOME_TRY(lock, DatabaseLock::take(from));
  static_cast<void>(lock);  // held until the end
  const Temporary copy{beside(to, ".copy")};
  const Temporary made{beside(to, ".partial")};
  for (const char* suffix : {"", "-wal"}) {
    const fs::path source = beside(from, suffix);
    if (!fs::exists(source, error)) continue;
    if (!fs::copy_file(source, beside(copy.path, suffix), fs::copy_options::overwrite_existing, error)) {
      return fail(Errc::storage, fmt::format("cannot copy {}: {}", source.string(), error.message()));
    }
  }
  std::vector<SalvagedTable> tables;
  BOOST_OUTCOME_TRYV(storage::guarded(fmt::format("read {}", from.string()), [&]() -> Status {
    SQLite::Database damaged(copy.path.string(), SQLite::OPEN_READWRITE);
    BOOST_OUTCOME_TRYV(storage::check_ours(damaged));
    const int version = damaged.execAndGet("PRAGMA user_version").getInt();
    if (version == 0) return fail(Errc::storage, from.string() + " is no database of ours");
    SQLite::Database whole(made.path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    whole.exec("PRAGMA foreign_keys = OFF; PRAGMA synchronous = OFF");
    // With the tables it had; the daemon brings them up to date.
    BOOST_OUTCOME_TRYV(storage::migrate(whole, version));
    SQLite::Transaction transaction(whole);
    for (const std::string& name :
         names(whole, "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")) {
      whole.exec("DELETE FROM \"" + name + "\"");  // what the migrations put there
      tables.push_back(copy_table(damaged, whole, name));
    }
    transaction.commit();
    whole.exec("PRAGMA synchronous = FULL; VACUUM");  // all of it through to the disk
    return success();
  }));
  fs::rename(made.path, to, error);
  if (error) return fail(Errc::storage, fmt::format("cannot write {}: {}", to.string(), error.message()));
  return tables;
}

}  // namespace gyle
