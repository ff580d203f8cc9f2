#include <catch2/catch.hpp>
#include <functional>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/journal.h"
#include "storage/outbox.h"
#include "storage/watch_log.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

struct Work {
  const char* name;
  std::function<bool(Database&, int)> step;         // the i-th piece of work; true: it says it has happened
  std::function<std::int64_t(Database&)> happened;  // how many pieces are there
};

std::vector<Work> works() {
  return {
      {"journal",
       [](Database& db, int i) {
         Journal journal(db);
         return journal
             .record(message("", at(i), static_cast<std::uint16_t>(i + 1)),
                     {{reading(at(i), 1.048), reading(at(i), 18.0, TimeQuality::arrival, "probe-1")},
                      {refusal(RefusalReason::out_of_range, at(i))}})
             .has_value();
       },
       [](Database& db) {
         const auto counts = Journal(db).counts().value();
         const auto refused =
             counts.refusals.contains("out_of_range") ? counts.refusals.at("out_of_range") : 0;
         REQUIRE(counts.readings == 2 * refused);  // all of a message or nothing
         return refused;
       }},
      {"batches",
       [](Database& db, int i) {
         return BatchStore(db).pitch({std::to_string(i), std::to_string(i) + "th", at(i), "x"}).has_value();
       },
       [](Database& db) { return static_cast<std::int64_t>(BatchStore(db).all().value().size()); }},
      {"outbox",
       [](Database& db, int i) {
         BatchStore batches(db);
         if (batches.all().value().empty() && !batches.pitch({"left", "b", at(0), ""})) return false;
         const std::vector<std::string> channels{"log", "mqtt"};
         const Decision stuck{at(i), AlertKind::stuck, Decision::State::raised, i + 1, {}, "", {}};
         return Outbox(db).record(alert_of(1, stuck, "s", "{}"), channels).has_value();
       },
       [](Database& db) {
         Outbox outbox(db);
         const auto alerts = outbox.alerts(1).value().size();
         REQUIRE(outbox.waiting("log").value().size() == alerts);
         REQUIRE(outbox.waiting("mqtt").value().size() == alerts);
         return static_cast<std::int64_t>(alerts);
       }},
      {"pitch and package",
       [](Database& db, int i) {
         BatchStore batches(db);
         if (i % 2 == 0)
           return batches.pitch({"left", "b", at(i), "x"}, {"hydrometer-1", "probe-1"}).has_value();
         return batches.package(i / 2 + 1, at(i), 7, StoredEnding{3, "{}"}).has_value();
       },
       // A batch is in its vessel and uses its sensors, or has left it, uses none and has an end.
       [](Database& db) {
         BatchStore batches(db);
         std::int64_t done = 0;
         const auto all = batches.all().value();
         for (const StoredBatch& batch : all) {
           done += batch.packaged ? 2 : 1;
           const auto assignments = WatchLog(db).assignments(batch.id).value();
           REQUIRE(assignments.size() == 2);
           for (const Assignment& one : assignments) {
             REQUIRE(one.covers(7));
             REQUIRE(one.covers(8) != batch.packaged.has_value());
           }
           REQUIRE(batches.ending(batch.id).value().has_value() == batch.packaged.has_value());
         }
         return done;
       }},
  };
}

}  // namespace

// The disk dies at the n-th write, for every n until the work gets through: whatever had been reported as
// done is there, whatever had been reported as failed is not, and the file is whole.
TEST_CASE("a disk that is full or dies loses nothing that was reported as kept") {
  constexpr int kPieces = 6;
  const FailingDisk disk;
  const Work work = works()[GENERATE(range(std::size_t{0}, std::size_t{4}))];
  const int error = GENERATE(int{SQLITE_FULL}, int{SQLITE_IOERR_WRITE});
  CAPTURE(work.name, error);
  int faults = 0;
  for (int nth = 1;; ++nth) {
    CAPTURE(nth);
    const TempDir dir;
    const auto path = dir / "journal.db";
    std::int64_t done = 0;
    bool complete = false;
    {
      Database db = open(path);
      FailingDisk::fail_from(nth, error);
      for (int i = 0; i < kPieces && done == i; ++i) {
        if (work.step(db, i)) ++done;
      }
      complete = !FailingDisk::has_failed();
      FailingDisk::heal();
      if (!complete) REQUIRE(work.happened(db) == done);
      REQUIRE(db.check());
      // With room again, the same connection goes on.
      for (int i = static_cast<int>(done); i < kPieces; ++i) REQUIRE(work.step(db, i));
      REQUIRE(work.happened(db) == kPieces);
    }
    Database again = open(path);
    REQUIRE(again.check());
    REQUIRE(work.happened(again) == kPieces);
    if (complete) break;
    ++faults;
  }
  CHECK(faults >= kPieces);  // at least one write and one sync for each piece were tried
}

TEST_CASE("a disk that dies while a database is made leaves a file that can be made again") {
  const FailingDisk disk;
  for (int nth = 1;; ++nth) {
    CAPTURE(nth);
    const TempDir dir;
    FailingDisk::fail_from(nth, SQLITE_FULL);
    const bool made = Database::open(dir / "journal.db").has_value();
    const bool failed = FailingDisk::has_failed();
    FailingDisk::heal();
    if (!failed) {
      CHECK(made);
      CHECK(nth > 10);
      break;
    }
    Database db = open(dir / "journal.db");
    REQUIRE(db.check());
    REQUIRE(Journal(db).record(message("", at(0)), {{reading(at(0), 1.048)}, {}}));
  }
}

TEST_CASE("every message is synced before it is reported as kept") {
  const FailingDisk disk;
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  REQUIRE(journal.record(message("", at(0)), {{reading(at(0), 1.048)}, {}}));
  // Find the last operation of a record: it is a sync, and the record fails when it does.
  int operations = 0;
  for (int nth = 1;; ++nth) {
    FailingDisk::fail_from(nth, SQLITE_IOERR_WRITE);
    const auto kept = journal.record(message("", at(nth)), {{reading(at(nth), 1.048)}, {}});
    const bool failed = FailingDisk::has_failed();
    FailingDisk::heal();
    CHECK(kept.has_value() != failed);
    if (!failed) break;
    ++operations;
  }
  CHECK(operations >= 2);
}
