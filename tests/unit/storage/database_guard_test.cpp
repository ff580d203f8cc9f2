// The guards against losing the database unnoticed: the lock, the look at the file before each commit, the
// check at the start, and the meaning of errors.
#include <sqlite3.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/database_lock.h"
#include "storage/journal.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
using Catch::Contains;
namespace fs = std::filesystem;

namespace {

void execute(const fs::path& path, const char* sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

Result<std::vector<JournalRow>> keep(Journal& journal, int second) {
  return journal.record(message("", at(second)), {{reading(at(second), 1.048)}, {}});
}

}  // namespace

TEST_CASE("one database has one daemon") {
  const TempDir dir;
  {
    const auto first = DatabaseLock::take(dir / "journal.db");
    REQUIRE(first);
    const auto second = DatabaseLock::take(dir / "journal.db");
    REQUIRE(!second);
    CHECK(second.error().code == Errc::conflict);
    CHECK_THAT(second.error().message, Contains((dir / "journal.db").string()));
    // By any other name it is the same database.
    fs::create_symlink(dir / "journal.db", dir / "other.db");
    static_cast<void>(open(dir / "journal.db"));
    CHECK_FALSE(DatabaseLock::take(dir / "other.db"));
    CHECK(DatabaseLock::take(dir / "another.db"));
  }
  CHECK(DatabaseLock::take(dir / "journal.db"));
}

TEST_CASE("a database that has gone since the last start is noticed") {
  const TempDir dir;
  CHECK_FALSE(DatabaseLock::take(dir / "journal.db").value().database_gone());  // the first start ever
  static_cast<void>(open(dir / "journal.db"));
  CHECK_FALSE(DatabaseLock::take(dir / "journal.db").value().database_gone());
  for (const char* name : {"journal.db", "journal.db-wal", "journal.db-shm"}) fs::remove(dir / name);
  CHECK(DatabaseLock::take(dir / "journal.db").value().database_gone());
}

TEST_CASE("nothing is kept in a file that was deleted, moved or replaced") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  Database db = open(path);
  Journal journal(db);
  REQUIRE(keep(journal, 0));
  SECTION("deleted") { fs::remove(path); }
  SECTION("moved") { fs::rename(path, dir / "away.db"); }
  SECTION("replaced") {
    static_cast<void>(open(dir / "other.db"));
    fs::rename(dir / "other.db", path);
  }
  const auto refused = keep(journal, 1);
  REQUIRE(!refused);
  CHECK(refused.error().worth_retrying());
  CHECK_THAT(refused.error().message, Contains("moved"));
  CHECK_FALSE(BatchStore(db).pitch({"left", "b", at(0), ""}));
  CHECK(journal.counts().value().readings == 1);
}

TEST_CASE("a database that is back in its place is used again") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  REQUIRE(keep(journal, 0));
  fs::rename(dir / "journal.db", dir / "away.db");
  CHECK_FALSE(keep(journal, 1));
  fs::rename(dir / "away.db", dir / "journal.db");
  CHECK(keep(journal, 1));
  CHECK(keep(journal, 2));
  CHECK(journal.counts().value().readings == 3);
}

TEST_CASE("an error says whether trying again can help") {
  const TempDir dir;
  const FailingDisk disk;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  REQUIRE(keep(journal, 0));
  SECTION("a full disk: yes") {
    FailingDisk::fail_from(1, SQLITE_FULL);
    const auto refused = keep(journal, 1);
    FailingDisk::heal();
    REQUIRE(!refused);
    CHECK(refused.error().worth_retrying());
    CHECK_THAT(refused.error().message, Contains("full"));
    CHECK(keep(journal, 1));
  }
  SECTION("a disk that fails: yes") {
    FailingDisk::fail_from(1, SQLITE_IOERR_WRITE);
    const auto refused = keep(journal, 1);
    FailingDisk::heal();
    CHECK(refused.error().worth_retrying());
  }
  SECTION("a rule of a table: no") {
    execute(
        dir / "journal.db",
        "CREATE TRIGGER never BEFORE INSERT ON reading WHEN NEW.value > 1040000 BEGIN SELECT RAISE(ABORT, "
        "'never this'); END");
    const auto refused = keep(journal, 1);
    REQUIRE(!refused);
    CHECK_FALSE(refused.error().worth_retrying());
    CHECK_THAT(refused.error().message, Contains("never this"));
  }
}

TEST_CASE("the check at the start finds damage, and gives up in time") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  {
    Database db = open(path);
    Journal journal(db);
    Decoded many;
    for (int i = 0; i < 60'000; ++i) many.readings.push_back(reading(at(i), 1.0));
    REQUIRE(journal.record(message("", at(0)), many));
    CHECK(db.quick_check(std::chrono::seconds(60)).value());
    CHECK_FALSE(db.quick_check(std::chrono::milliseconds(0)).value());
    CHECK(keep(journal, 70'000));  // the limit was the check's only
  }
  {
    std::fstream file(path, std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(4096 * 100);
    const std::string rubbish(4096, '\xa5');
    file.write(rubbish.data(), static_cast<std::streamsize>(rubbish.size()));
  }
  Database db = open(path);
  const auto found = db.quick_check(std::chrono::seconds(60));
  REQUIRE(!found);
  CHECK(found.error().code == Errc::storage);
  CHECK_THAT(found.error().message, Contains("damaged"));
}
