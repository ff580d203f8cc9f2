#include "storage/watch_log.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
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
  const std::int64_t batch = BatchStore(db).pitch({"left", "Harbour amber", at(0), ""}).value();
  WatchLog log(db);
  const auto uses = [&](const std::string& sensor, std::int64_t reading) {
    const auto assignments = log.assignments(batch).value();
    return std::any_of(assignments.begin(), assignments.end(),
                       [&](const Assignment& a) { return a.sensor == sensor && a.covers(reading); });
  };
  REQUIRE(log.assign(batch, {"float-1", "probe-1"}, 100));
  CHECK(uses("float-1", 1));  // the pitch was entered late
  CHECK(uses("float-1", 101));
  CHECK_FALSE(uses("float-2", 101));

  REQUIRE(log.assign(batch, {"float-2", "probe-1"}, 200));  // another float was put in
  CHECK(uses("float-1", 200));
  CHECK_FALSE(uses("float-1", 201));
  CHECK_FALSE(uses("float-2", 200));
  CHECK(uses("float-2", 201));
  CHECK(uses("probe-1", 150));
  CHECK(uses("probe-1", 1000));

  REQUIRE(log.assign(batch, {}, 300));
  CHECK(uses("float-2", 300));
  CHECK_FALSE(uses("float-2", 301));
  CHECK(uses("float-1", 150));
}
