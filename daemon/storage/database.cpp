#include "storage/database.h"

#include <sqlite3.h>
#include <sys/stat.h>

#include <algorithm>
#include <chrono>
#include <new>
#include <string>
#include <thread>

#include "storage/connection.h"
#include "storage/migration.h"

namespace gyle {
namespace {

constexpr auto kLockStep = std::chrono::milliseconds(5);
constexpr auto kLockPatience = std::chrono::seconds(10);

// Called by SQLite when another holds the lock, `calls` times so far: non-zero to try again.
int wait_for_lock(void* context, int calls) {
  if (static_cast<const std::stop_token*>(context)->stop_requested() || calls >= kLockPatience / kLockStep) {
    return 0;
  }
  std::this_thread::sleep_for(kLockStep);
  return 1;
}

constexpr int kStepsPerLook = 1000;  // of SQLite's machine, between two looks at the time

// Called by SQLite before every commit: non-zero to roll back instead. A commit into a file that was deleted
// or moved would be lost.
int refuse_when_moved(void* context) {
  const auto& connection = *static_cast<const Database::Connection*>(context);
  struct stat now {};
  const bool there = ::stat(connection.path.c_str(), &now) == 0 && now.st_dev == connection.device &&
                     now.st_ino == connection.inode;
  return there ? 0 : 1;
}

int is_over(void* deadline) {
  return std::chrono::steady_clock::now() >=
                 *static_cast<const std::chrono::steady_clock::time_point*>(deadline)
             ? 1
             : 0;
}

}  // namespace

Error storage::failure(std::string_view doing, const std::exception& exception) {
  const auto* const sqlite = dynamic_cast<const SQLite::Exception*>(&exception);
  const auto error = [&](Errc code, std::string_view advice = "") {
    return Error{code, fmt::format("cannot {}: {}{}", doing, exception.what(), advice)};
  };
  if (sqlite == nullptr) {
    const bool memory = dynamic_cast<const std::bad_alloc*>(&exception) != nullptr;
    return error(memory ? Errc::storage : Errc::conflict);
  }
  if (sqlite->getExtendedErrorCode() == SQLITE_CONSTRAINT_COMMITHOOK) {
    return {
        Errc::storage,
        fmt::format("cannot {}: the database file was deleted, moved or replaced while it was in use. Put "
                    "it back in its place; if it is gone, restart gylekeeperd, which begins a new one, or "
                    "use `gylekeeper restore` with a backup",
                    doing)};
  }
  switch (sqlite->getErrorCode() & 0xff) {
    case SQLITE_FULL:
      return error(Errc::storage, ". Delete what is not needed, or give it more room");
    case SQLITE_NOTADB:
      return error(
          Errc::storage,
          ". If that is the wrong file, give the path of a new one; if it is damaged, use `gylekeeper "
          "restore` with a backup");
    case SQLITE_CORRUPT:
      return error(
          Errc::storage,
          ". Stop gylekeeperd, then use `gylekeeper restore` with a backup, or `gylekeeper salvage`, "
          "which saves what can still be read");
    case SQLITE_IOERR:
    case SQLITE_CANTOPEN:
      return error(Errc::storage,
                   ". See that its file and folder are in their place and that the disk works");
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
    case SQLITE_READONLY:
    case SQLITE_PERM:
    case SQLITE_AUTH:
    case SQLITE_PROTOCOL:
    case SQLITE_INTERRUPT:
    case SQLITE_NOMEM:
    case SQLITE_NOLFS:
      return error(Errc::storage);
    default:
      return error(Errc::conflict);
  }
}

Database::Database(std::unique_ptr<Connection> connection) : connection_(std::move(connection)) {}
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;
Database::~Database() = default;

Result<Database> Database::open(const std::filesystem::path& path, std::stop_token stop) {
  const std::string doing = "open the database " + path.string();
  auto opened = storage::guarded(doing, [&]() -> Result<Database> {
    auto connection = std::make_unique<Connection>(
        Connection{SQLite::Database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE),
                   std::move(stop), path.string()});
    SQLite::Database& db = connection->db;
    sqlite3_busy_handler(db.getHandle(), wait_for_lock, &connection->stop);
    db.exec("PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA journal_size_limit = 4194304");
    Status ours = storage::migrate(db);
    if (!ours) return fail(ours.error().code, "cannot " + doing + ": " + ours.error().message);
    db.exec("PRAGMA journal_mode = WAL");
    struct stat file {};
    if (::stat(connection->path.c_str(), &file) != 0) {
      return fail(Errc::storage, "cannot " + doing + ": it has gone while it was opened");
    }
    connection->device = file.st_dev;
    connection->inode = file.st_ino;
    sqlite3_commit_hook(db.getHandle(), refuse_when_moved, connection.get());
    return Database(std::move(connection));
  });
  if (!opened) return fail(Errc::storage, opened.error().message);
  return opened;
}

Result<Database> Database::open_for_reading(const std::filesystem::path& path, std::stop_token stop) {
  auto opened = storage::guarded("open the database " + path.string(), [&]() -> Result<Database> {
    auto connection = std::make_unique<Connection>(
        Connection{SQLite::Database(path.string(), SQLite::OPEN_READONLY), std::move(stop), path.string()});
    sqlite3_busy_handler(connection->db.getHandle(), wait_for_lock, &connection->stop);
    return Database(std::move(connection));
  });
  if (!opened) return fail(Errc::storage, opened.error().message);
  return opened;
}

Status Database::check() {
  return storage::guarded("check the database", [&]() -> Status {
    const std::string verdict = connection_->db.execAndGet("PRAGMA integrity_check(1)").getString();
    if (verdict != "ok") return fail(Errc::storage, "the database is damaged: " + verdict);
    return success();
  });
}

Result<bool> Database::quick_check(std::chrono::milliseconds limit) {
  auto deadline = std::chrono::steady_clock::now() + limit;
  SQLite::Database& db = connection_->db;
  sqlite3_progress_handler(db.getHandle(), kStepsPerLook, is_over, &deadline);
  auto whole = storage::guarded("check the database", [&]() -> Result<bool> {
    try {
      std::string verdict = db.execAndGet("PRAGMA quick_check(1)").getString();
      std::replace(verdict.begin(), verdict.end(), '\n', ' ');
      if (verdict != "ok") return fail(Errc::storage, "the database is damaged: " + verdict);
      return true;
    } catch (const SQLite::Exception& e) {
      if (e.getErrorCode() == SQLITE_INTERRUPT) return false;
      throw;
    }
  });
  sqlite3_progress_handler(db.getHandle(), 0, nullptr, nullptr);
  return whole;
}

}  // namespace gyle
