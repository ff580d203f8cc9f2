#include "storage/database.h"

#include <sqlite3.h>

#include <chrono>
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

}  // namespace

Database::Database(std::unique_ptr<Connection> connection) : connection_(std::move(connection)) {}
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;
Database::~Database() = default;

Result<Database> Database::open(const std::filesystem::path& path, std::stop_token stop) {
  const std::string doing = "open the database " + path.string();
  auto opened = storage::guarded(doing, [&]() -> Result<Database> {
    auto connection = std::make_unique<Connection>(Connection{
        SQLite::Database(path.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE), std::move(stop)});
    SQLite::Database& db = connection->db;
    sqlite3_busy_handler(db.getHandle(), wait_for_lock, &connection->stop);
    db.exec("PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA journal_size_limit = 4194304");
    Status ours = storage::migrate(db);
    if (!ours) return fail(ours.error().code, "cannot " + doing + ": " + ours.error().message);
    db.exec("PRAGMA journal_mode = WAL");
    return Database(std::move(connection));
  });
  if (!opened && opened.error().message.find("not a database") != std::string::npos) {
    return fail(Errc::storage, opened.error().message + "; give the path of a new file or of a journal");
  }
  return opened;
}

Status Database::check() {
  return storage::guarded("check the database", [&]() -> Status {
    const std::string verdict = connection_->db.execAndGet("PRAGMA integrity_check(1)").getString();
    if (verdict != "ok") return fail(Errc::storage, "the database is damaged: " + verdict);
    return success();
  });
}

}  // namespace gyle
