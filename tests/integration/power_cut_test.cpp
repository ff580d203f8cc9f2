#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <memory>
#include <optional>
#include <set>

#include "base/rfc3339.h"
#include "storage/amendment_log.h"
#include "storage/backup.h"
#include "storage/batch_store.h"
#include "storage/journal.h"
#include "storage/migration.h"
#include "storage/outbox.h"
#include "storage/watch_log.h"
#include "support/places.h"
#include "support/power_cut.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
namespace fs = std::filesystem;

// The power fails at every write, sync, renaming and deletion of a piece of work, and the database is opened again
// from what was on the disk. GYLE_POWER_CUTS=20 looks at 20 fates of what was not synced, in place of one.

namespace {

constexpr const char* kFile = "journal.db";

Time at(std::int64_t s) { return Time(seconds(1'772'000'000 + s)); }

Database open(const fs::path& path) {
  auto database = Database::open(path);
  if (!database) throw std::runtime_error(database.error().message);
  return std::move(database).value();
}

int fates() {
  const char* const wanted = std::getenv("GYLE_POWER_CUTS");
  return wanted == nullptr ? 1 : std::max(1, std::atoi(wanted));
}

// Every row of every table.
std::string everything_in(const fs::path& file) {
  sqlite3* db = nullptr;
  sqlite3_open(file.c_str(), &db);
  const std::unique_ptr<sqlite3, int (*)(sqlite3*)> closed(db, sqlite3_close);
  std::string text;
  const auto each_row = [&](const std::string& sql, const std::function<void(sqlite3_stmt*)>& row) {
    sqlite3_stmt* select = nullptr;
    if (sqlite3_prepare_v2(db, sql.c_str(), -1, &select, nullptr) != SQLITE_OK) {
      throw std::runtime_error(sqlite3_errmsg(db));
    }
    while (sqlite3_step(select) == SQLITE_ROW) row(select);
    sqlite3_finalize(select);
  };
  std::vector<std::string> tables;
  each_row("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name", [&](sqlite3_stmt* row) {
    tables.emplace_back(reinterpret_cast<const char*>(sqlite3_column_text(row, 0)));
  });
  for (const std::string& table : tables) {
    text += table + ":\n";
    each_row("SELECT * FROM \"" + table + "\"", [&](sqlite3_stmt* row) {
      for (int i = 0; i < sqlite3_column_count(row); ++i) {
        const auto* const cell = sqlite3_column_text(row, i);
        text += cell == nullptr ? "-" : reinterpret_cast<const char*>(cell);
        text += '|';
      }
      text += '\n';
    });
  }
  return text;
}

// Pieces of work, each of which is acknowledged when it returns.
struct Work {
  int pieces = 0;
  std::function<void(Database&, int)> piece;
  // Looks at what is there after a cut, where `acknowledged` pieces had returned; "" when nothing is wrong. The
  // rows have been looked at already.
  std::function<std::string(Database&, int acknowledged)> look = {};
  int every = 1;  // of the steps that do not write to the database file itself, a cut at each n-th only
};

struct Found {
  int cuts = 0;
  int with_the_piece_under_way = 0;  // cuts after which it was there
  int while_written_back = 0;  // cuts in the midst of the work, while the log went into the database file
  std::vector<std::string> troubles;
};

// Does the work with a cut at each step; after each exactly the acknowledged pieces are there, and the one that
// was under way perhaps.
Found cut_at_each_step(const Work& work, const std::function<void(const fs::path&)>& prepare, unsigned seed) {
  const auto make_ready = [&](const TempDir& dir) {
    if (prepare) prepare(dir / kFile);
  };
  std::vector<std::string> states;  // after 0, 1, ... pieces
  {
    const TempDir dir;
    make_ready(dir);
    Database db = open(dir / kFile);
    for (int i = 0; i <= work.pieces; ++i) {
      if (i > 0) work.piece(db, i - 1);
      states.push_back(everything_in(dir / kFile));
    }
  }
  const TempDir dir;
  make_ready(dir);
  PowerCutDisk disk(dir.path(), seed);
  Found found;
  int acknowledged = 0, steps = 0;
  disk.at_each_step = [&](const fs::path& path) {
    ++steps;
    if (path.filename() != kFile && steps % work.every != 0) return;
    for (int fate = 0; fate < fates(); ++fate) {
      const TempDir after;
      disk.cut(after.path());
      ++found.cuts;
      if (path.filename() == kFile && acknowledged > 0 && acknowledged < work.pieces)
        ++found.while_written_back;
      const auto trouble = [&](const std::string& what) {
        found.troubles.push_back(fmt::format("step {} at {}, {} acknowledged: {}", steps,
                                             path.filename().string(), acknowledged, what));
      };
      try {
        Database db = open(after / kFile);
        if (const Status whole = db.check(); !whole) trouble(whole.error().message);
        const std::string state = everything_in(after / kFile);
        const auto done = static_cast<std::size_t>(acknowledged);
        if (done + 1 < states.size() && state == states[done + 1]) {
          ++found.with_the_piece_under_way;
        } else if (state != states[done]) {
          trouble("the rows are others");
        }
        if (!work.look) continue;
        if (const std::string wrong = work.look(db, acknowledged); !wrong.empty()) trouble(wrong);
      } catch (const std::exception& e) {
        trouble(e.what());
      }
    }
  };
  {
    Database db = open(dir / kFile);
    for (int i = 0; i < work.pieces; ++i) {
      work.piece(db, i);
      ++acknowledged;
    }
  }
  return found;
}

void require(bool good) {
  if (!good) throw std::runtime_error("a piece of work failed");
}

Message message_of(int i, bool again = false) {
  Message m{"cellar/hydrometer-1", fmt::format("payload {}", i), at(60 * i)};
  m.packet_id = static_cast<std::uint16_t>(1 + i % 50);
  m.duplicate = again;
  return m;
}

Decoded decoded_of(int i) {
  const Time time = at(60 * i);
  Decoded decoded{{{time, "hydrometer-1", Quantity::gravity, 1.048 - 0.0001 * i, TimeQuality::stamped},
                   {time, "hydrometer-1", Quantity::beer_temperature, 18.5, TimeQuality::stamped},
                   {time, "probe-1", Quantity::ambient_temperature, 17.0, TimeQuality::arrival}},
                  {}};
  if (i % 5 == 0) decoded.refusals = {{time, RefusalReason::out_of_range, "cellar/x", "x", "1050", "1050"}};
  return decoded;
}

void ingest(Database& db, int i) { require(Journal(db).record(message_of(i), decoded_of(i)).has_value()); }

// What was not acknowledged comes again, and also the last one that was: its acknowledgement died with the line.
std::string deliver_again(Database& db, int acknowledged) {
  Journal journal(db);
  require(journal.connected(true).has_value());
  for (int i = std::max(0, acknowledged - 1); i <= acknowledged; ++i) {
    require(journal.record(message_of(i, true), decoded_of(i)).has_value());
  }
  std::map<std::string, int> rows;
  require(journal
              .rows({{"hydrometer-1", "probe-1"}, {}, 0},
                    [&](const JournalRow& row) {
                      ++rows[fmt::format("{} {}", row.reading.time.time_since_epoch().count(),
                                         name(row.reading.quantity))];
                    })
              .has_value());
  for (const auto& [row, count] : rows) {
    if (count != 1) return fmt::format("{} is there {} times", row, count);
  }
  const std::size_t wanted = 3 * (static_cast<std::size_t>(acknowledged) + 1);
  return rows.size() == wanted ? "" : fmt::format("{} rows of {}", rows.size(), wanted);
}

void decide(Database& db, int i) {
  const std::vector<std::string> channels{"log", "mqtt"};
  Outbox outbox(db);
  const auto step = static_cast<std::size_t>(i % 3);
  if (step == 0) {
    const Decision stuck{at(i), AlertKind::stuck, Decision::State::raised, i + 1, {}, "", {}};
    require(outbox.record(alert_of(1, stuck, "It is stuck.", "{}"), channels).has_value());
  } else if (step == 1) {
    const std::vector<std::int64_t> first{outbox.waiting("log").value().at(0).id};
    require(outbox.pack(first, Together::alone, at(i)).has_value());
  } else {
    require(outbox.delivered(outbox.waiting("log").value().at(0).parcel->number, at(i), "ok").has_value());
  }
}

void brew(Database& db, int i) {
  BatchStore batches(db);
  if (i % 3 == 0) {
    require(batches.pitch({"left", fmt::format("no. {}", i), at(i), "x"}, {"hydrometer-1", "probe-1"})
                .has_value());
  } else if (i % 3 == 1) {
    require(batches.package(i / 3 + 1, at(i), 7, StoredEnding{3, "{}"}).has_value());
  } else {
    require(AmendmentLog(db)
                .amend(i / 3 + 1, AmendedThing::packaged, 0, format_rfc3339(at(i)), at(i))
                .has_value());
  }
}

void with_a_batch(const fs::path& path) {
  Database db = open(path);
  require(BatchStore(db).pitch({"left", "Amber no. 12", at(0), "x"}).has_value());
}

void no_trouble(const Found& found, int at_least) {
  for (std::size_t i = 0; i < std::min<std::size_t>(found.troubles.size(), 5); ++i)
    UNSCOPED_INFO(found.troubles[i]);
  CHECK(found.troubles.empty());
  CHECK(found.cuts >= at_least);
}

}  // namespace

TEST_CASE("a power cut loses no message that was acknowledged, and doubles none") {
  const Found found = cut_at_each_step({12, ingest, deliver_again}, {}, 1);
  no_trouble(found, 200);
  CHECK(found.with_the_piece_under_way > 0);
}

TEST_CASE("a power cut while the log is written back loses nothing") {
  // Long enough for SQLite to write its log of 1,000 pages into the database file.
  const Found found = cut_at_each_step({220, ingest, deliver_again, 97}, {}, 2);
  no_trouble(found, 50);
  CHECK(found.while_written_back > 10);
}

TEST_CASE("a power cut leaves a decision with all its deliveries, or none of it") {
  const Found found = cut_at_each_step({12, decide}, with_a_batch, 3);
  no_trouble(found, 60);
  CHECK(found.with_the_piece_under_way > 0);
}

TEST_CASE("a power cut leaves a batch in its vessel or packaged, with its end") {
  const Found found = cut_at_each_step({6, brew}, {}, 4);
  no_trouble(found, 60);
  CHECK(found.with_the_piece_under_way > 0);
}

TEST_CASE("a power cut during a migration leaves a database that can be migrated") {
  const int newest = static_cast<int>(storage::migrations().size());
  const int version = GENERATE_COPY(values({1, newest - 1, newest}));
  CAPTURE(version);
  const auto prepare = [&](const fs::path& path) {
    fs::copy_file(fs::path(gyle::test::source_dir()) / fmt::format("tests/migrations/v{}.db", version), path);
  };
  no_trouble(cut_at_each_step({}, prepare, 5), version < newest ? 10 : 1);
}

TEST_CASE("a power cut during a backup or a restore leaves the database, and a whole copy or none") {
  const TempDir dir;
  const auto database = dir / kFile, copy = dir / "copy.db";
  {
    Database db = open(database);
    for (int i = 0; i < 5; ++i) ingest(db, i);
  }
  const std::string before = everything_in(database);
  REQUIRE(back_up(database, dir / "old.db"));  // to be restored

  PowerCutDisk disk(dir.path(), 6);
  std::set<std::string> databases, copies;  // what may be there; "": nothing
  int cuts = 0;
  const auto look = [&](const fs::path& file, const std::set<std::string>& may_be) {
    const bool there = fs::exists(file);
    CHECK(may_be.contains(there ? everything_in(file) : ""));
    if (there) CHECK(check_database_file(file));
  };
  disk.at_each_step = [&](const fs::path& path) {
    if (databases.empty()) return;
    for (int fate = 0; fate < fates(); ++fate) {
      const TempDir after;
      disk.cut(after.path());
      ++cuts;
      CAPTURE(path, cuts);
      look(after / kFile, databases);
      look(after / "copy.db", copies);
    }
  };
  std::optional<Database> in_use = open(database);
  ingest(*in_use, 5);
  const std::string now = everything_in(database);
  databases = {now};
  copies = {"", now};
  REQUIRE(back_up(database, copy));
  copies = {now};  // it is there for good
  SECTION("a backup over another") {
    databases.clear();
    ingest(*in_use, 6);
    const std::string later = everything_in(database);
    databases = {later};
    copies = {now, later};
    REQUIRE(back_up(database, copy, true));
    copies = {later};
  }
  SECTION("a restore") {
    in_use.reset();
    databases = {now, before};
    REQUIRE(restore(dir / "old.db", database, at(0)));
    databases = {before};
  }
  disk.at_each_step("the end");
  CHECK(cuts > 20);
}

TEST_CASE("the disk forgets what was not synced") {
  // What SQLite promises with each: see its documentation of PRAGMA synchronous. Without a loss here the tests above
  // would show nothing.
  struct Row {
    const char* settings;
    bool loses, breaks;
  };
  const auto row =
      GENERATE(values<Row>({{"PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL", false, false},
                            {"PRAGMA journal_mode = WAL; PRAGMA synchronous = NORMAL", true, false},
                            {"PRAGMA journal_mode = DELETE; PRAGMA synchronous = FULL", true, false},
                            {"PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA", false, false},
                            {"PRAGMA journal_mode = DELETE; PRAGMA synchronous = OFF", true, true}}));
  CAPTURE(row.settings);
  const TempDir dir;
  PowerCutDisk disk(dir.path(), 7);
  int acknowledged = -1, lost = 0, broken = 0;
  disk.at_each_step = [&](const fs::path&) {
    if (acknowledged < 0) return;
    const TempDir after;
    disk.cut(after.path());
    try {
      const std::string all = everything_in(after / kFile);
      if (std::count(all.begin(), all.end(), '\n') < acknowledged + 1) ++lost;
    } catch (const std::exception&) {
      ++broken;
    }
  };
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open((dir / kFile).c_str(), &db) == SQLITE_OK);
  const auto run = [&](const std::string& sql) {
    REQUIRE(sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
  };
  run(row.settings);
  run("CREATE TABLE t(a)");
  for (acknowledged = 0; acknowledged < 50; ++acknowledged) {
    run("INSERT INTO t VALUES (hex(randomblob(500)))");
  }
  acknowledged = -1;
  sqlite3_close(db);
  CHECK((lost > 0) == row.loses);
  CHECK((broken > 0) == row.breaks);
}
