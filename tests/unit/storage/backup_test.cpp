#include "storage/backup.h"

#include <atomic>
#include <catch2/catch.hpp>
#include <fstream>
#include <set>
#include <thread>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/journal.h"
#include "storage/note_store.h"
#include "support/failing_disk.h"
#include "support/places.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
namespace fs = std::filesystem;

namespace {

void fill(Database& db, int readings) {
  BatchStore batches(db);
  const std::int64_t id = batches.pitch({"left", "Amber", at(0), "x"}).value();
  REQUIRE(NoteStore(db).add(id, at(5), "Dry hops."));
  Journal journal(db);
  for (int i = 0; i < readings; ++i) {
    REQUIRE(journal.record(message("", at(i)), {{reading(at(i), 1.048 - 0.00001 * i)}, {}}));
  }
}

std::set<std::string> names_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder)) names.insert(entry.path().filename().string());
  return names;
}

std::string bytes(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void write(const fs::path& path, std::string_view text) {
  std::ofstream(path, std::ios::binary).write(text.data(), static_cast<std::streamsize>(text.size()));
}

}  // namespace

TEST_CASE("a backup holds what the database held, in one file, and reports it") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  fill(db, 300);  // most of it is in the write-ahead log still
  const auto made = back_up(dir / "journal.db", dir / "copy.db");
  REQUIRE(made);
  CHECK(made.value().batches == 1);
  CHECK(made.value().readings == 300);
  CHECK(made.value().notes == 1);
  CHECK(made.value().bytes == static_cast<std::int64_t>(fs::file_size(dir / "copy.db")));
  CHECK(names_in(dir.path()) ==
        std::set<std::string>{"copy.db", "journal.db", "journal.db-shm", "journal.db-wal"});
  CHECK(check_database_file(dir / "copy.db").value() == made.value());

  Database copy = open(dir / "copy.db");
  CHECK(NoteStore(copy).of(1).value().front().text == "Dry hops.");
  CHECK(Journal(copy).counts().value().readings == 300);
}

TEST_CASE("a database is copied while another connection writes to it, as it was at one moment") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    fill(db, 1000);
  }
  std::atomic<bool> stop = false;
  std::atomic<int> written = 0;
  std::thread writer([&] {
    Database db = open(dir / "journal.db");
    Journal journal(db);
    for (int i = 1000; !stop; ++i) {
      // Two in one transaction: no moment has an odd number of them.
      if (journal.record(message("", at(i)),
                         {{reading(at(i), 1.03),
                           reading(at(i), 18, TimeQuality::stamped, "probe", Quantity::beer_temperature)},
                          {}})) {
        ++written;
      }
    }
  });
  for (int n = 0; n < 5; ++n) {
    while (written < 20 * n + 10) std::this_thread::yield();
    const int before = written;
    const auto made = back_up(dir / "journal.db", dir / (std::to_string(n) + ".db"));
    const int after = written + 1;  // one more may be on its way
    if (!made) {
      stop = true;
      writer.join();
      FAIL(made.error().message);
    }
    const auto readings = made.value().readings;
    CHECK(readings % 2 == 0);
    CHECK(readings >= 1000 + 2 * before);
    CHECK(readings <= 1000 + 2 * after);
  }
  stop = true;
  writer.join();
}

TEST_CASE("a backup overwrites no other file unless asked to") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  write(dir / "copy.db", "precious");
  const auto refused = back_up(dir / "journal.db", dir / "copy.db");
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Errc::conflict);
  CHECK(bytes(dir / "copy.db") == "precious");
  CHECK(back_up(dir / "journal.db", dir / "copy.db", true));
  CHECK(check_database_file(dir / "copy.db"));
  CHECK(back_up(dir / "journal.db", dir / "journal.db", true).error().code == Errc::conflict);
  CHECK(back_up(dir / "none.db", dir / "new.db").error().code == Errc::not_found);
  const auto nowhere = back_up(dir / "journal.db", dir / "no" / "new.db");
  CHECK(nowhere.error().code == Errc::storage);
  CHECK_THAT(nowhere.error().message, Catch::StartsWith("cannot write " + (dir / "no").string()));
}

TEST_CASE("an incomplete or foreign backup is recognised and never restored") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    fill(db, 400);
  }
  REQUIRE(back_up(dir / "journal.db", dir / "good.db"));
  const std::string good = bytes(dir / "good.db");
  std::string spoilt = good;
  for (std::size_t page = 1; page < good.size() / 4096; ++page) {
    spoilt[page * 4096] = '\x7f';  // the kind of every page but the first
  }
  struct Row {
    const char* name;
    std::string content;
    const char* says;
  };
  const auto row = GENERATE_COPY(
      from_range(std::vector<Row>{{"half", good.substr(0, good.size() / 2), "good"},
                                  {"without its last page", good.substr(0, good.size() - 4096), "good"},
                                  {"spoilt inside", spoilt, "good"},
                                  {"text", std::string(5000, 'x'), "not a database"},
                                  {"empty", "", "nothing in it"}}));
  CAPTURE(row.name);
  write(dir / "bad.db", row.content);
  const auto found = check_database_file(dir / "bad.db");
  REQUIRE_FALSE(found);
  CHECK(found.error().code == Errc::storage);
  if (std::string_view(row.says) != "good") {
    CHECK_THAT(found.error().message, Catch::Contains(row.says));
  }
  const std::string before = bytes(dir / "journal.db");
  const auto files = names_in(dir.path());
  CHECK_FALSE(restore(dir / "bad.db", dir / "journal.db", at(0)));
  CHECK(bytes(dir / "journal.db") == before);
  CHECK(names_in(dir.path()) == files);
}

TEST_CASE("the database before a restore is kept beside it under its date") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    fill(db, 10);
    REQUIRE(back_up(dir / "journal.db", dir / "backup.db"));
    REQUIRE(NoteStore(db).add(1, at(9), "After the backup."));
  }
  fs::permissions(dir / "journal.db", fs::perms::owner_read | fs::perms::owner_write);
  const auto restored = restore(dir / "backup.db", dir / "journal.db", at(0));
  REQUIRE(restored);
  CHECK(restored.value().backup.notes == 1);
  CHECK(*restored.value().kept == dir / "journal.db.before-20260225T061320Z");
  CHECK(check_database_file(*restored.value().kept).value().notes == 2);
  CHECK(check_database_file(dir / "journal.db").value().notes == 1);
  CHECK(check_database_file(dir / "backup.db").value().notes == 1);
  CHECK(fs::status(dir / "journal.db").permissions() == (fs::perms::owner_read | fs::perms::owner_write));
  // The same second again takes another name, and the daemon can go on with what was restored.
  CHECK(*restore(dir / "backup.db", dir / "journal.db", at(0)).value().kept ==
        dir / "journal.db.before-20260225T061320Z-2");
  Database db = open(dir / "journal.db");
  CHECK(NoteStore(db).add(1, at(10), "On."));
}

TEST_CASE("a database that is in use is not replaced") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  fill(db, 10);
  REQUIRE(back_up(dir / "journal.db", dir / "backup.db"));
  const auto refused = restore(dir / "backup.db", dir / "journal.db", at(0));
  REQUIRE_FALSE(refused);
  CHECK(refused.error().code == Errc::conflict);
  CHECK_THAT(refused.error().message, Catch::Contains("in use"));
  REQUIRE(NoteStore(db).add(1, at(9), "Still mine."));
  CHECK(names_in(dir.path()) == std::set<std::string>{".journal.db.lock", "backup.db", "journal.db",
                                                      "journal.db-shm", "journal.db-wal"});
}

TEST_CASE("a backup is restored where there was no database, and where there is only rubbish") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    fill(db, 10);
    REQUIRE(back_up(dir / "journal.db", dir / "backup.db"));
  }
  const auto fresh = restore(dir / "backup.db", dir / "fresh.db", at(0));
  REQUIRE(fresh);
  CHECK_FALSE(fresh.value().kept);
  CHECK(check_database_file(dir / "fresh.db").value().readings == 10);

  write(dir / "rubbish.db", std::string(9000, 'r'));
  write(dir / "rubbish.db-wal", "a log that belongs to the rubbish");
  const auto restored = restore(dir / "backup.db", dir / "rubbish.db", at(0));
  REQUIRE(restored);
  CHECK(bytes(*restored.value().kept) == std::string(9000, 'r'));
  CHECK(check_database_file(dir / "rubbish.db").value().readings == 10);
  CHECK(restore(dir / "backup.db", dir / "backup.db", at(0)).error().code == Errc::conflict);
  CHECK(restore(dir / "none.db", dir / "journal.db", at(0)).error().code == Errc::not_found);
}

TEST_CASE("a backup of an older version is brought up to date by the daemon") {
  const TempDir dir;
  const auto restored =
      restore(fs::path(gyle::test::source_dir()) / "tests/migrations/v3.db", dir / "journal.db", at(0));
  REQUIRE(restored);
  CHECK(restored.value().backup.version == 3);
  CHECK(Database::open(dir / "journal.db"));
}

// The disk is full from the n-th write on, for every n until it gets through.
TEST_CASE("a full disk leaves no half backup and no half database") {
  const FailingDisk disk;
  const bool restoring = GENERATE(false, true);
  CAPTURE(restoring);
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    fill(db, 100);
    REQUIRE(back_up(dir / "journal.db", dir / "backup.db"));
    REQUIRE(NoteStore(db).add(1, at(9), "After the backup."));
  }
  const auto present = check_database_file(dir / "journal.db").value();
  // What SQLite keeps beside a database comes and goes.
  const auto files = [&] {
    auto names = names_in(dir.path());
    std::erase_if(names, [](const std::string& name) {
      return name.starts_with("journal.db-") || name == ".journal.db.lock";
    });
    return names;
  };
  const auto files_before = files();
  int faults = 0;
  for (int nth = 1;; ++nth) {
    CAPTURE(nth);
    REQUIRE(nth < 500);
    FailingDisk::fail_from(nth, SQLITE_FULL);
    const bool done = restoring ? restore(dir / "backup.db", dir / "journal.db", at(0)).has_value()
                                : back_up(dir / "journal.db", dir / "new.db").has_value();
    const bool failed = FailingDisk::has_failed();
    FailingDisk::heal();
    if (done) {
      CHECK_FALSE(failed);
      break;
    }
    ++faults;
    CHECK(files() == files_before);
    static_cast<void>(open(dir / "journal.db"));  // as the daemon would, with what is left of a log
    CHECK(check_database_file(dir / "journal.db").value() == present);
  }
  CHECK(faults > 3);
}
