#include "storage/watch_log.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "storage/journal.h"
#include "storage/judging_log.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

TEST_CASE("ticks come back in order, from a time on, after a restart") {
  const TempDir dir;
  {
    Database db = open(dir / "journal.db");
    WatchLog log(db);
    for (int i = 0; i < 5; ++i) REQUIRE(log.ticked({i * 10, at(i * 300)}));
  }
  Database db = open(dir / "journal.db");
  const auto ticks = WatchLog(db).ticks(at(600)).value();
  REQUIRE(ticks.size() == 3);
  CHECK(ticks[0].time == at(600));
  CHECK(ticks[0].after_reading == 20);
  CHECK(ticks[2].time == at(1200));
}

TEST_CASE("a batch uses its sensors from when they are assigned until they are not") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const std::int64_t batch = BatchStore(db).pitch({"left", "Amber no. 12", at(0), ""}).value();
  WatchLog log(db);
  const auto uses = [&](const std::string& sensor, std::int64_t reading) {
    return covers(log.assignments(batch).value(), sensor, reading);
  };
  REQUIRE(log.assign(batch, {"hydrometer-1", "probe-1"}, 100));
  CHECK(uses("hydrometer-1", 1));  // the pitch was entered late
  CHECK(uses("hydrometer-1", 101));
  CHECK_FALSE(uses("hydrometer-2", 101));

  REQUIRE(log.assign(batch, {"hydrometer-2", "probe-1"}, 200));  // another hydrometer was put in
  CHECK(uses("hydrometer-1", 200));
  CHECK_FALSE(uses("hydrometer-1", 201));
  CHECK_FALSE(uses("hydrometer-2", 200));
  CHECK(uses("hydrometer-2", 201));
  CHECK(uses("probe-1", 150));
  CHECK(uses("probe-1", 1000));

  REQUIRE(log.assign(batch, {}, 300));
  CHECK(uses("hydrometer-2", 300));
  CHECK_FALSE(uses("hydrometer-2", 301));
  CHECK(uses("hydrometer-1", 150));
}

TEST_CASE("readings of a clock that was ahead are dated to when it was set back") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  Journal journal(db);
  const std::int64_t batch = BatchStore(db).pitch({"left", "Amber no. 12", at(0), ""}).value();
  WatchLog log(db);
  const Time ahead = at(600) + days(20);
  REQUIRE(journal.record(message("", at(500)), {{reading(at(500), 18.5, TimeQuality::arrival)}, {}}));
  REQUIRE(log.ticked({1, at(550)}));
  REQUIRE(journal.record(message("", ahead),
                         {{reading(ahead, 18.6, TimeQuality::arrival), reading(at(600), 1.040)}, {}}));
  REQUIRE(log.ticked({3, ahead}));

  CHECK(log.next_tick_ahead(at(700)).value() == ahead - at(700));
  CHECK_FALSE(log.next_tick_ahead(at(100)).value().has_value());  // a clock from before all of them
  CHECK_FALSE(log.next_tick_ahead(ahead).value().has_value());

  const SetBack gone = log.clock_set_back(at(700)).value();
  CHECK(gone.ticks == 1);
  CHECK(gone.readings == 2);
  REQUIRE(log.ticks(at(0)).value().size() == 1);
  CHECK(JudgingLog(db).due(batch).value());
  std::vector<JournalRow> rows;
  REQUIRE(journal.rows({{"hydrometer-1"}, {}, 0, 10}, [&](const JournalRow& row) { rows.push_back(row); }));
  REQUIRE(rows.size() == 3);
  CHECK(rows[0].reading.time == at(500));
  CHECK(rows[0].reading.time_quality == TimeQuality::arrival);
  CHECK(rows[1].reading.time == at(700));
  CHECK(rows[1].reading.time_quality == TimeQuality::backlog);
  CHECK(rows[2].reading.time == at(600));  // as its sensor says
  CHECK(rows[2].reading.time_quality == TimeQuality::stamped);
  CHECK(rows[2].received == at(700));
  CHECK(journal.sensors().value().at(0).last == at(700));
}
