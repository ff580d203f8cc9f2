#include "storage/salvage.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "messages.h"
#include "storage/backup.h"
#include "storage/batch_store.h"
#include "storage/database_lock.h"
#include "storage/journal.h"
#include "storage/migration.h"
#include "storage/note_store.h"
#include "support/places.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
namespace fs = std::filesystem;

namespace {

constexpr int kReadings = 20'000;

void make(const fs::path& path) {
  Database db = open(path);
  Journal journal(db);
  Decoded many;
  for (int i = 0; i < kReadings; ++i) many.readings.push_back(reading(at(i), 1.0 + 1e-6 * i));
  REQUIRE(journal.record(message("", at(0)), many));
  const auto batch = BatchStore(db).pitch({"left", "Amber no. 12", at(0), "x"}, {"hydrometer-1"}).value();
  REQUIRE(NoteStore(db).add(batch, at(1), "Dry hops."));
}

void spoil_page(const fs::path& path, std::streamoff page) {
  std::fstream file(path, std::ios::in | std::ios::out | std::ios::binary);
  file.seekp(4096 * page);
  const std::string rubbish(4096, '\xa5');
  file.write(rubbish.data(), static_cast<std::streamsize>(rubbish.size()));
}

const SalvagedTable& table(const std::vector<SalvagedTable>& tables, const std::string& name) {
  return *std::find_if(tables.begin(), tables.end(), [&](const SalvagedTable& t) { return t.name == name; });
}

}  // namespace

TEST_CASE("everything in an undamaged database is saved") {
  const TempDir dir;
  make(dir / "journal.db");
  const auto saved = salvage(dir / "journal.db", dir / "saved.db");
  REQUIRE(saved);
  for (const SalvagedTable& one : saved.value()) CHECK(one.whole);
  CHECK(table(saved.value(), "reading").rows == kReadings);
  const auto before = check_database_file(dir / "journal.db").value();
  const auto after = check_database_file(dir / "saved.db").value();
  CHECK(after.readings == before.readings);
  CHECK(after.batches == before.batches);
  CHECK(after.notes == before.notes);
  Database db = open(dir / "saved.db");
  CHECK(BatchStore(db).find("Amber no. 12").value().id == 1);
  CHECK(fs::directory_entry(dir / "saved.db.copy").exists() == false);
}

TEST_CASE("everything readable in a damaged database is saved, wherever the damage is") {
  const TempDir dir;
  make(dir / "journal.db");
  const auto pages = static_cast<std::streamoff>(fs::file_size(dir / "journal.db") / 4096);
  std::int64_t most = 0;
  int readable = 0;
  for (std::streamoff page = 1; page < pages; page += 7) {
    CAPTURE(page);
    fs::copy_file(dir / "journal.db", dir / "damaged.db", fs::copy_options::overwrite_existing);
    spoil_page(dir / "damaged.db", page);
    const auto saved = salvage(dir / "damaged.db", dir / "saved.db");
    if (saved) {
      ++readable;
      Database db = open(dir / "saved.db");
      CHECK(db.check());
      const auto rows = table(saved.value(), "reading").rows;
      // What is lost is a page's worth and as much again, except when the page was the root of the table.
      if (rows > 0) CHECK(rows > kReadings - 1200);
      most = std::max(most, rows);
      CHECK(table(saved.value(), "reading").whole == (rows == kReadings));
    }
    fs::remove(dir / "saved.db");
  }
  CHECK(readable > pages / 7 / 2);
  CHECK(most == kReadings);  // where only an index was hit
}

TEST_CASE("an old database is saved with its tables, and brought up to date when it is opened") {
  const TempDir dir;
  const fs::path old = fs::path(source_dir()) / "tests/migrations/v4.db";
  fs::copy_file(old, dir / "old.db");
  REQUIRE(salvage(dir / "old.db", dir / "saved.db"));
  Database db = open(dir / "saved.db");
  CHECK(BatchStore(db).find("Amber no. 12").has_value());
  CHECK(Journal(db).counts().value().readings == 3);
}

TEST_CASE("salvage refuses what it must not touch") {
  const TempDir dir;
  CHECK(salvage(dir / "none.db", dir / "saved.db").error().code == Errc::not_found);
  make(dir / "journal.db");
  CHECK(salvage(dir / "journal.db", dir / "journal.db").error().code == Errc::conflict);
  {
    const auto lock = DatabaseLock::take(dir / "journal.db");
    CHECK(salvage(dir / "journal.db", dir / "saved.db").error().code == Errc::conflict);
  }
  std::ofstream(dir / "text.db") << std::string(5000, 'x');
  CHECK(salvage(dir / "text.db", dir / "saved.db").error().code == Errc::storage);
  CHECK_FALSE(fs::exists(dir / "saved.db"));
}
