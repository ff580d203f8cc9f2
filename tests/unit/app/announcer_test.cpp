#include "app/announcer.h"

#include <sqlite3.h>

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "support/failing_disk.h"
#include "support/temp_dir.h"

using namespace gyle;

TEST_CASE("alerts that could not be stored are sent, in order, when there is room") {
  const test::FailingDisk disk;
  const test::TempDir dir;
  Database database = std::move(Database::open(dir / "j.db").value());
  const Addressees addressees({{"log", {}, false, false, false, LogSettings{}}});
  int news = 0;
  Announcer announcer(database, addressees, [&] { ++news; });
  const Time now = parse_rfc3339("2026-03-01T18:30:00Z").value();
  test::FailingDisk::fail_from(1, SQLITE_FULL);
  announcer.say(WatcherKind::disk_low, Decision::State::raised, {}, now, {});
  announcer.say(WatcherKind::database_unwritable, Decision::State::raised, {}, now + minutes(1), {});
  announcer.catch_up();
  CHECK(news == 0);
  test::FailingDisk::heal();
  announcer.catch_up();
  CHECK(news == 1);
  const auto waiting = Outbox(database).waiting("log").value();
  REQUIRE(waiting.size() == 2);
  CHECK(waiting[0].alert.kind == "disk-low");
  CHECK(waiting[0].alert.time == now);
  CHECK(waiting[1].alert.kind == "database-unwritable");
  announcer.catch_up();
  CHECK(Outbox(database).waiting("log").value().size() == 2);
}
