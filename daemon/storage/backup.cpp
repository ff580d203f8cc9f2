#include "storage/backup.h"

#include <SQLiteCpp/Backup.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <string>

#include "base/rfc3339.h"
#include "storage/connection.h"
#include "storage/database_lock.h"
#include "storage/migration.h"

namespace gyle {
namespace {

namespace fs = std::filesystem;

constexpr int kLockPatience_ms = 10'000;

Status system_failure(const std::string& doing, const fs::path& path) {
  return fail(Errc::storage, fmt::format("cannot {} {}: {}", doing, path.string(), std::strerror(errno)));
}

Status sync(const fs::path& path, int flags) {
  const int file = ::open(path.c_str(), flags | O_CLOEXEC);
  if (file < 0) return system_failure("open", path);
  const bool synced = ::fsync(file) == 0;
  const int why = errno;
  ::close(file);
  errno = why;
  return synced ? Status(success()) : system_failure("bring to the disk", path);
}

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

fs::path with_suffix(fs::path path, const char* suffix) { return path += suffix; }

bool there(const fs::path& path) {
  std::error_code ignored;  // a file that may not be looked at exists; opening it gives the reason
  return fs::status(path, ignored).type() != fs::file_type::not_found;
}

std::int64_t rows_in(SQLite::Database& db, const char* table) {
  if (!db.tableExists(table)) return 0;  // an older version's
  return db.execAndGet(std::string("SELECT count(*) FROM ") + table).getInt64();
}

Result<DatabaseSummary> summary_of(SQLite::Database& db) {
  BOOST_OUTCOME_TRYV(storage::check_ours(db));
  DatabaseSummary summary;
  summary.version = db.execAndGet("PRAGMA user_version").getInt();
  if (summary.version == 0) return fail(Errc::storage, "there is nothing in it; it is no database of ours");
  summary.bytes =
      db.execAndGet("PRAGMA page_count").getInt64() * db.execAndGet("PRAGMA page_size").getInt64();
  summary.batches = rows_in(db, "batch");
  summary.readings = rows_in(db, "reading");
  summary.alerts = rows_in(db, "decision");
  summary.notes = rows_in(db, "note");
  return summary;
}

Result<DatabaseSummary> of_file(const fs::path& file, Result<DatabaseSummary> summary) {
  if (summary) return summary;
  return fail(summary.error().code, fmt::format("{}: {}", file.string(), summary.error().message));
}

// Gone at the end of the scope, with what SQLite keeps beside it.
class Partial {
 public:
  explicit Partial(fs::path path) : path_(std::move(path)) { remove(); }
  Partial(const Partial&) = delete;
  Partial& operator=(const Partial&) = delete;
  ~Partial() { remove(); }

  const fs::path& path() const { return path_; }

 private:
  void remove() const {
    for (const char* suffix : {"", "-journal", "-wal", "-shm"}) {
      std::error_code ignored;
      fs::remove(with_suffix(path_, suffix), ignored);
    }
  }
  fs::path path_;
};

// A copy of `from`, complete and on the disk, that holds what `from` held at one moment.
Result<DatabaseSummary> copied(const fs::path& from, const fs::path& to) {
  if (!there(from)) return fail(Errc::not_found, fmt::format("there is no file {}", from.string()));
  // An error of writing is about the copy, not about the database.
  BOOST_OUTCOME_TRYV(storage::guarded(fmt::format("write {}", to.string()), [&]() -> Status {
    SQLite::Database(to.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
    return success();
  }));
  auto held =
      storage::guarded(fmt::format("copy the database {}", from.string()), [&]() -> Result<DatabaseSummary> {
        SQLite::Database source(from.string(), SQLite::OPEN_READWRITE);  // only reads where it may not write
        source.setBusyTimeout(kLockPatience_ms);
        // Of one moment: the copy and what it is compared with. With a write-ahead log this locks nobody out.
        SQLite::Transaction moment(source);
        BOOST_OUTCOME_TRY(summary, of_file(from, summary_of(source)));
        SQLite::Database target(to.string(), SQLite::OPEN_READWRITE);
        SQLite::Backup backup(target, source);
        if (const int code = backup.executeStep(-1); code != SQLITE_DONE) {
          return fail(Errc::storage,
                      fmt::format("cannot copy the database {}: {}", from.string(), sqlite3_errstr(code)));
        }
        return summary;
      });
  BOOST_OUTCOME_TRYV(held);
  BOOST_OUTCOME_TRYV(storage::guarded(fmt::format("write {}", to.string()), [&]() -> Status {
    SQLite::Database target(to.string(), SQLite::OPEN_READWRITE);
    target.exec("PRAGMA journal_mode = DELETE");  // one file, that needs none beside it
    return success();
  }));
  BOOST_OUTCOME_TRYV(sync(to, O_RDWR));
  BOOST_OUTCOME_TRY(written, check_database_file(to));
  if (written != held.value()) {
    return fail(Errc::storage, fmt::format("the copy of {} is not like it; the disk may be failing: copy to "
                                           "another disk",
                                           from.string()));
  }
  return written;
}

// Renames; never over another file unless `overwrite`.
Status put_in_place(const fs::path& from, const fs::path& to, bool overwrite) {
  int failed = -1;
  if (!overwrite) {
    failed = ::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE);
    if (failed != 0 && errno == EEXIST)
      return fail(Errc::conflict, fmt::format("there is a file {} already", to.string()));
  }
  // Not every file system knows the above.
  if (overwrite || (failed != 0 && (errno == EINVAL || errno == ENOSYS) && !there(to))) {
    failed = ::rename(from.c_str(), to.c_str());
  }
  if (failed != 0) return system_failure("write", to);
  return sync(folder_of(to), O_RDONLY | O_DIRECTORY);
}

// As the file, or the folder, that stands there belongs to the daemon, so must what takes its place.
Status give_to_owner_of(const fs::path& model, const fs::path& file) {
  struct stat status {};
  if (::stat(model.c_str(), &status) != 0) return system_failure("look at", model);
  if (::geteuid() == 0 && ::chown(file.c_str(), status.st_uid, status.st_gid) != 0) {
    return system_failure("give to its owner", file);
  }
  if (S_ISREG(status.st_mode) && ::chmod(file.c_str(), status.st_mode & 07777U) != 0) {
    return system_failure("set the permissions of", file);
  }
  return success();
}

fs::path dated(const fs::path& database, Time now) {
  std::string date = format_rfc3339(std::chrono::floor<std::chrono::seconds>(now));
  date.erase(std::remove_if(date.begin(), date.end(), [](char c) { return c == '-' || c == ':'; }),
             date.end());
  fs::path name = database;
  name += ".before-" + date;
  for (int n = 2; there(name); ++n) name = fs::path(database) += fmt::format(".before-{}-{}", date, n);
  return name;
}

// Holds the database so that nobody else can, and has made one file of it. Absent for what SQLite cannot read
// at all.
Result<std::unique_ptr<SQLite::Database>> hold(const fs::path& database) {
  auto db = std::make_unique<SQLite::Database>(database.string(), SQLite::OPEN_READWRITE);
  try {
    db->exec("PRAGMA journal_mode = DELETE");  // refused while another has it open
    db->exec("BEGIN EXCLUSIVE");
  } catch (const SQLite::Exception& e) {
    if (e.getErrorCode() == SQLITE_BUSY || e.getErrorCode() == SQLITE_LOCKED) {
      return fail(Errc::conflict,
                  fmt::format("{} is in use; stop the daemon first, as with `systemctl stop gylekeeper`",
                              database.string()));
    }
    if (e.getErrorCode() != SQLITE_NOTADB && e.getErrorCode() != SQLITE_CORRUPT) throw;
    db.reset();
  }
  return db;
}

// The present database gets a second name; a file system that knows no second names moves it.
Status keep(const fs::path& database, const fs::path& kept) {
  for (const char* suffix : {"-wal", "-journal"}) {      // of a database that could not be read; it must not
    const fs::path log = with_suffix(database, suffix);  // be taken for that of the restored one
    if (there(log) && ::rename(log.c_str(), with_suffix(kept, suffix).c_str()) != 0) {
      return system_failure("keep", log);
    }
  }
  std::error_code ignored;
  fs::remove(with_suffix(database, "-shm"), ignored);
  if (::link(database.c_str(), kept.c_str()) == 0) return success();
  if (::rename(database.c_str(), kept.c_str()) == 0) return success();
  return system_failure("keep", database);
}

}  // namespace

Result<DatabaseSummary> check_database_file(const fs::path& file) {
  if (!there(file)) return fail(Errc::not_found, fmt::format("there is no file {}", file.string()));
  return storage::guarded(fmt::format("read {}", file.string()), [&]() -> Result<DatabaseSummary> {
    SQLite::Database db(file.string(), SQLite::OPEN_READONLY);
    db.setBusyTimeout(kLockPatience_ms);
    SQLite::Transaction moment(db);
    BOOST_OUTCOME_TRY(summary, of_file(file, summary_of(db)));
    const std::string verdict = db.execAndGet("PRAGMA integrity_check(1)").getString();
    if (verdict != "ok") {
      return fail(Errc::storage,
                  fmt::format("{} is damaged: {}. Use `gylekeeper restore` with a backup, or `gylekeeper "
                              "salvage`, which saves what can still be read",
                              file.string(), verdict));
    }
    return summary;
  });
}

Result<DatabaseSummary> back_up(const fs::path& database, const fs::path& file, bool overwrite) {
  std::error_code ignored;
  if (fs::equivalent(database, file, ignored)) {
    return fail(Errc::conflict, "that is the database itself; give the name of another file");
  }
  if (!overwrite && there(file)) {
    return fail(Errc::conflict,
                fmt::format("there is a file {} already; give another name, or --overwrite", file.string()));
  }
  const Partial partial(with_suffix(file, ".partial"));
  BOOST_OUTCOME_TRY(written, copied(database, partial.path()));
  BOOST_OUTCOME_TRYV(put_in_place(partial.path(), file, overwrite));
  return written;
}

Result<Restored> restore(const fs::path& file, const fs::path& database, Time now) {
  std::error_code ignored;
  if (fs::equivalent(database, file, ignored)) {
    return fail(Errc::conflict, "that is the database itself; give the name of a backup");
  }
  return storage::guarded("restore the database", [&]() -> Result<Restored> {
    BOOST_OUTCOME_TRYV(check_database_file(file));
    const bool present = there(database);
    BOOST_OUTCOME_TRY(lock, DatabaseLock::take(database));
    static_cast<void>(lock);  // held until the end
    std::unique_ptr<SQLite::Database> held;
    if (present) {
      BOOST_OUTCOME_TRY(holds, hold(database));
      held = std::move(holds);
    }
    const Partial partial(with_suffix(database, ".partial"));
    BOOST_OUTCOME_TRY(written, copied(file, partial.path()));
    BOOST_OUTCOME_TRYV(give_to_owner_of(present ? database : folder_of(database), partial.path()));
    Restored restored{written, {}};
    if (present) {
      restored.kept = dated(database, now);
      BOOST_OUTCOME_TRYV(keep(database, *restored.kept));
    }
    BOOST_OUTCOME_TRYV(put_in_place(partial.path(), database, present));
    return restored;
  });
}

}  // namespace gyle
