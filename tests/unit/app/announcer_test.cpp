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
  const AlertRouting routing({{"log", {}, false, false, false, LogSettings{}}});
  int news = 0;
  Announcer announcer(database, routing, [&] { ++news; });
  const Time now = parse_rfc3339("2026-03-01T18:30:00Z").value();
  test::FailingDisk::fail_from(1, SQLITE_FULL);
  announcer.report(SystemAlertKind::disk_low, Decision::State::raised, {}, now, {});
  announcer.report(SystemAlertKind::database_unwritable, Decision::State::raised, {}, now + minutes(1), {});
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

TEST_CASE("an alert that reached a channel before it could be stored is not sent there again") {
  const test::FailingDisk disk;
  const test::TempDir dir;
  Database database = std::move(Database::open(dir / "j.db").value());
  const AlertRouting routing(
      {{"log", {}, false, false, false, LogSettings{}}, {"wall", {}, false, false, false, LogSettings{}}});
  Announcer announcer(database, routing, [] {});
  const Time now = parse_rfc3339("2026-03-01T18:30:00Z").value();
  CHECK(announcer.report(SystemAlertKind::watcher_started, Decision::State::raised, {}, now, {}));
  CHECK_FALSE(announcer.last_unstored({}));
  test::FailingDisk::fail_from(1, SQLITE_FULL);
  CHECK_FALSE(announcer.report(SystemAlertKind::database_unwritable, Decision::State::raised, {}, now, {}));
  const auto unstored = announcer.last_unstored({});
  REQUIRE(unstored);
  CHECK(unstored->channels == std::vector<std::string>{"log", "wall"});
  CHECK(unstored->notice.kind == "database-unwritable");
  CHECK(unstored->notice.severity == Severity::critical);
  CHECK(unstored->notice.title == "Gylekeeper: nothing can be stored, no beer is watched");
  CHECK(unstored->notice.text.find("cannot be written") != std::string::npos);
  announcer.arrived_unstored(unstored->notice.id, "wall");
  test::FailingDisk::heal();
  CHECK(announcer.report(SystemAlertKind::database_unwritable, Decision::State::withdrawn, {},
                         now + minutes(9), {}));
  CHECK(Outbox(database).waiting("log").value().size() == 3);
  const auto wall = Outbox(database).waiting("wall").value();
  REQUIRE(wall.size() == 2);
  CHECK(wall[0].alert.kind == "watcher-started");
  CHECK(wall[1].alert.state == Decision::State::withdrawn);
}
