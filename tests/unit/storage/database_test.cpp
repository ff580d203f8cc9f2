#include "storage/database.h"

#include <sqlite3.h>

#include <fmt/format.h>
#include <atomic>

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <thread>

#include "messages.h"
#include "storage/amendment_log.h"
#include "storage/batch_store.h"
#include "storage/calibration_store.h"
#include "storage/fill_store.h"
#include "storage/journal.h"
#include "storage/migration.h"
#include "storage/note_store.h"
#include "storage/outbox.h"
#include "storage/run_log.h"
#include "storage/set_point_store.h"
#include "storage/subscription_log.h"
#include "storage/watch_log.h"
#include "support/places.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;
namespace fs = std::filesystem;

namespace {

// Another program's hand on the file.
void execute(const fs::path& path, const char* sql) {
  sqlite3* db = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
  REQUIRE(sqlite3_exec(db, sql, nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(db);
}

std::string bytes(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void write(const fs::path& path, std::string_view text) {
  std::ofstream(path, std::ios::binary).write(text.data(), static_cast<std::streamsize>(text.size()));
}

}  // namespace

TEST_CASE("a commit is synced, to a write-ahead log") {
  // The settings themselves are a connection's own, so they are seen by what they do: see the disk fault
  // tests for the sync; here that the log is there and is the file's mode.
  const TempDir dir;
  Database db = open(dir / "journal.db");
  REQUIRE(Journal(db).record(message("", at(0)), {{reading(at(0), 1.048)}, {}}));
  CHECK(fs::exists(dir / "journal.db-wal"));
  CHECK(fs::file_size(dir / "journal.db-wal") > 0);
}

TEST_CASE("files that are not for us are refused with a reason, and left alone") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  struct Row {
    const char* name;
    std::function<void()> make;
    const char* says;
  };
  const std::vector<Row> rows{
      {"text", [&] { write(path, std::string(5000, 'x')); }, "not a database"},
      {"another program's", [&] { execute(path, "CREATE TABLE recipe(id)"); }, "another program"},
      {"another program's with a version",
       [&] { execute(path, "PRAGMA user_version = 1; CREATE TABLE t(id)"); }, "another program"},
      {"a newer version's",
       [&] {
         static_cast<void>(open(path));
         execute(path, "PRAGMA user_version = 4711");
       },
       "version 4711"},
      {"truncated",
       [&] {
         static_cast<void>(open(path));
         fs::resize_file(path, fs::file_size(path) / 2);
       },
       "malformed"},
  };
  const std::size_t i = GENERATE(range(std::size_t{0}, std::size_t{5}));
  CAPTURE(rows[i].name);
  rows[i].make();
  const std::string before = bytes(path);
  const auto opened = Database::open(path);
  REQUIRE(!opened);
  CHECK(opened.error().code == Errc::storage);
  CHECK_THAT(opened.error().message, Catch::Contains(path.string()));
  CHECK_THAT(opened.error().message, Catch::Contains(rows[i].says));
  CHECK(bytes(path) == before);
}

TEST_CASE("a folder that does not exist is an error that names the path") {
  const auto opened = Database::open("/nowhere/at/all/journal.db");
  REQUIRE(!opened);
  CHECK_THAT(opened.error().message, Catch::Contains("/nowhere/at/all/journal.db"));
}

TEST_CASE("damage inside is found by the check") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  {
    Database db = open(path);
    Journal journal(db);
    for (int i = 0; i < 500; ++i) REQUIRE(journal.record(message("", at(i)), {{reading(at(i), 1.0)}, {}}));
    CHECK(db.check());
  }
  std::string damaged = bytes(path);
  // The last pages hold readings or their index; page 1 is left whole so that the file still opens.
  for (std::size_t i = damaged.size() - 4096; i < damaged.size(); ++i) damaged[i] = static_cast<char>(0xa5);
  write(path, damaged);
  auto db = Database::open(path);
  REQUIRE(db);
  CHECK(db.value().check().error().code == Errc::storage);
}

// The sensor of those databases.
const std::string kOldSensor = "float-1";

// One database for each version ever released, made by that version: see tests/migrations/README.md.
TEST_CASE("databases of every released version are read for ever") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  const int version = GENERATE(range(1, static_cast<int>(storage::migrations().size()) + 1));
  CAPTURE(version);
  fs::copy_file(fs::path(gyle::test::source_dir()) / "tests/migrations" /
                    std::string("v").append(std::to_string(version)).append(".db"),
                path);
  Database db = open(path);
  REQUIRE(db.check());

  Journal journal(db);
  std::vector<JournalRow> rows;
  REQUIRE(journal.rows({{kOldSensor, "probe-1"}, {}, 0, 100},
                       [&](const JournalRow& row) { rows.push_back(row); }));
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].reading.value == 1.048);
  CHECK(rows[0].reading.quantity == Quantity::gravity);
  CHECK(rows[0].reading.time == at(0));
  CHECK(rows[1].reading.sensor == "probe-1");
  CHECK(rows[1].reading.time_quality == TimeQuality::arrival);
  CHECK(rows[2].reading.time_quality == TimeQuality::backlog);
  CHECK(journal.counts().value().refusals.at("out_of_range") == 1);
  CHECK(journal.recent_refusals(1).value().at(0).head == "1050");
  const auto batch = BatchStore(db).find("Amber no. 12");
  REQUIRE(batch);
  CHECK(batch.value().spec == "name = \"Amber no. 12\"\n");
  Outbox outbox(db);
  CHECK(outbox.alerts(batch.value().id).value().at(0).kind == "fermentation-started");
  CHECK(outbox.waiting("mqtt").value().size() == 1);
  CHECK(outbox.waiting("log").value().empty());
  CHECK(outbox.channels().value().at(0).delivered_last == at(2));
  if (version >= 2) {
    WatchLog log(db);
    CHECK(log.assignments(batch.value().id).value().at(0).covers(3));
    CHECK(log.ticks(at(0)).value().at(0).time == at(300));
  }
  if (version >= 3) CHECK(SubscriptionLog(db).remember({}).value().at(0) == "cellar/+");
  if (version >= 4) {
    CHECK(outbox.system_alerts(1).value().at(0).kind == "broker-lost");
    CHECK(RunLog(db).begin(at(1000)).value().size() == 1);
  }
  if (version >= 5) CHECK(NoteStore(db).of(batch.value().id).value().at(0).text == "Dry hops, 40 g.");
  if (version >= 7) {
    const auto curves = CalibrationStore(db).in_force().value();
    CHECK(curves.at(kOldSensor).gravity(35)->value() == Approx(1.02).margin(1e-12));
  }
  if (version >= 8) {
    const auto amendments = AmendmentLog(db).of(batch.value().id).value();
    CHECK_THAT(amendments.at(0).before, Catch::EndsWith("Dry hops, 4 g."));
  }
  if (version >= 9) {
    const SetPointPast past = SetPointStore(db).past(batch.value().id, "left").value();
    CHECK(past.asked == Ask{1, Celsius{22}});
    CHECK(past.confirmed == past.asked);
    CHECK(past.changed == at(800));
  }
  if (version >= 11) CHECK(BatchStore(db).ending(2).value()->text == "{}");
  if (version >= 14) CHECK(FillStore(db).of(batch.value().id).value().at(0).fill.count == 22);
  // And it takes what comes next.
  CHECK(journal.record(message("", at(50)), {{reading(at(50), 1.047)}, {}}).value().size() == 1);
}

// As version 12 stored them.
TEST_CASE("words that were renamed are read by their new names") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  fs::copy_file(fs::path(gyle::test::source_dir()) / "tests/migrations/v12.db", path);
  sqlite3* old = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &old) == SQLITE_OK);
  CHECK(sqlite3_exec(old,
                     "UPDATE outbox SET parcel = id, packed_ms = 5000, together = 'told-late' "
                     "WHERE channel = 'mqtt';"
                     "UPDATE decision SET kind = 'clock-late' WHERE kind = 'broker-lost'",
                     nullptr, nullptr, nullptr) == SQLITE_OK);
  sqlite3_close(old);

  Database db = open(path);
  Outbox outbox(db);
  const auto waiting = outbox.waiting("mqtt").value();
  REQUIRE(waiting.size() == 1);
  REQUIRE(waiting[0].parcel);
  CHECK(waiting[0].parcel->together == Together::sent_late);
  CHECK(outbox.system_alerts(1).value().at(0).kind == "clock-behind");
}

// Made once per version with: storage_test "make a database of this version" (it writes v<n>.db to the
// working folder).
TEST_CASE("make a database of this version", "[.make]") {
  const std::string file = fmt::format("v{}.db", storage::migrations().size());
  fs::remove(file);
  Database db = open(file);
  Journal journal(db);
  Message m = message("...", at(1), 3);
  REQUIRE(
      journal.record(m, {{reading(at(0), 1.048, TimeQuality::stamped, kOldSensor),
                          reading(at(1), 18.5, TimeQuality::arrival, "probe-1", Quantity::beer_temperature),
                          reading(at(1), 3.9, TimeQuality::backlog, kOldSensor, Quantity::battery)},
                         {refusal(RefusalReason::out_of_range)}}));
  const auto batch =
      BatchStore(db).pitch({"left", "Amber no. 12", at(0), "name = \"Amber no. 12\"\n"}).value();
  Outbox outbox(db);
  const std::vector<std::string> channels{"log", "mqtt"};
  const Decision started{at(1), AlertKind::fermentation_started, Decision::State::raised, 1, {}, "", {}};
  REQUIRE(outbox.record(alert_of(batch, started, "It ferments.", "{}"), channels));
  const std::vector<std::int64_t> first{outbox.waiting("log").value().at(0).id};
  REQUIRE(outbox.delivered(outbox.pack(first, Together::alone, at(2)).value().number, at(2), "ok"));
  NewAlert lost;
  lost.kind = "broker-lost";
  lost.time = at(3);
  REQUIRE(outbox.record(lost, {}));
  REQUIRE(RunLog(db).begin(at(0)));
  WatchLog log(db);
  REQUIRE(log.assign(batch, {kOldSensor}, 3));
  REQUIRE(log.ticked({3, at(300)}));
  REQUIRE(SubscriptionLog(db).remember({"cellar/+"}));
  REQUIRE(FillStore(db).add(batch, {at(500), Container::bottles, 22, 0.5, GasSource::priming, Celsius{18}}));
  const auto note = NoteStore(db).add(batch, at(400), "Dry hops, 4 g.").value();
  REQUIRE(AmendmentLog(db).amend(batch, AmendedThing::note, note, dated_text(at(400), "Dry hops, 40 g."),
                                 at(600)));
  const std::vector<CalibrationPoint> points{{25, SpecificGravity::unchecked(1.000)},
                                             {45, SpecificGravity::unchecked(1.040)}};
  REQUIRE(CalibrationStore(db).add(kOldSensor, at(500), fit_inclination(points).value()));
  SetPointStore set_points(db);
  REQUIRE(set_points.confirm(batch, {1, Celsius{22}}, at(700)));
  REQUIRE(set_points.asked(batch, {1, Celsius{22}}, at(800)));
  const auto second = BatchStore(db).pitch({"right", "Attic stout", at(0), "x"}).value();
  REQUIRE(BatchStore(db).package(second, at(900), 3, StoredEnding{0, "{}"}));
}

TEST_CASE("two connections to a new file at once") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  std::vector<std::thread> threads;
  std::atomic<int> good = 0;
  for (int i = 0; i < 4; ++i) {
    threads.emplace_back([&path, &good, i] {
      auto db = Database::open(path);
      if (!db) return;
      Journal journal(db.value());
      for (int n = 0; n < 50; ++n) {
        if (!journal.record(message("", at(n)), {{reading(at(n), 1.0 + i)}, {}})) return;
      }
      ++good;
    });
  }
  for (std::thread& thread : threads) thread.join();
  CHECK(good == 4);
  Database db = open(path);
  CHECK(Journal(db).counts().value().readings == 200);
}

TEST_CASE("another's lock is waited for, and the wait can be ended") {
  const TempDir dir;
  const auto path = dir / "journal.db";
  std::stop_source stop;
  auto db = Database::open(path, stop.get_token());
  REQUIRE(db);
  Journal journal(db.value());
  sqlite3* other = nullptr;
  REQUIRE(sqlite3_open(path.c_str(), &other) == SQLITE_OK);
  REQUIRE(sqlite3_exec(other, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr) == SQLITE_OK);

  using Clock = std::chrono::steady_clock;
  const auto start = Clock::now();
  SECTION("until it is released") {
    std::thread release([&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(300));
      sqlite3_exec(other, "COMMIT", nullptr, nullptr, nullptr);
    });
    CHECK(journal.record(message("", at(0)), {{reading(at(0), 1.048)}, {}}).value().size() == 1);
    release.join();
    CHECK(Clock::now() - start >= std::chrono::milliseconds(250));
  }
  SECTION("until the end is asked for; then nothing has happened") {
    std::thread ask([&] {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
      stop.request_stop();
    });
    const auto recorded = journal.record(message("", at(0)), {{reading(at(0), 1.048)}, {}});
    ask.join();
    REQUIRE(!recorded);
    CHECK(recorded.error().worth_retrying());
    CHECK(Clock::now() - start < std::chrono::seconds(1));
    sqlite3_exec(other, "COMMIT", nullptr, nullptr, nullptr);
    CHECK(journal.counts().value().readings == 0);
  }
  sqlite3_close(other);
}
