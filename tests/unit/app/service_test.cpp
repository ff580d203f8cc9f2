// The whole daemon in this process, without a broker.
#include "app/service.h"

#include <sqlite3.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "storage/journal.h"
#include "storage/outbox.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Contains;
namespace fs = std::filesystem;

namespace {

Settings settings_in(const fs::path& dir, const char* socket) {
  Settings settings;
  settings.mqtt.broker = "mqtt://127.0.0.1:1";  // nobody is there
  settings.storage.database = dir / "journal.db";
  settings.control.socket = dir / socket;
  settings.page.enabled = false;
  return settings;
}

std::vector<std::string> reported(const fs::path& database) {
  Database db = std::move(Database::open(database).value());
  std::vector<std::string> kinds;
  const auto alerts = Outbox(db).watcher_alerts(100).value();
  for (const StoredAlert& alert : alerts) kinds.push_back(alert.kind + " " + name(alert.state));
  return kinds;
}

bool has(const std::vector<std::string>& list, const char* one) {
  return std::find(list.begin(), list.end(), one) != list.end();
}

}  // namespace

TEST_CASE("a second daemon on the same database is refused by its name") {
  const test::TempDir dir;
  EventLoop loop;
  auto first = Service::start(loop, settings_in(dir.path(), "one"));
  REQUIRE(first);
  const auto second = Service::start(loop, settings_in(dir.path(), "two"));
  REQUIRE(!second);
  CHECK(second.error().code == Errc::conflict);
  CHECK_THAT(second.error().message, Contains((dir / "journal.db").string()));
  REQUIRE(first.value()->stop());
  first.value().reset();
  CHECK(Service::start(loop, settings_in(dir.path(), "two")));
}

TEST_CASE("a new database where there had been one is reported") {
  const test::TempDir dir;
  EventLoop loop;
  REQUIRE(Service::start(loop, settings_in(dir.path(), "s")));
  CHECK_FALSE(has(reported(dir / "journal.db"), "database-new raised"));
  for (const char* name : {"journal.db", "journal.db-wal", "journal.db-shm"}) fs::remove(dir / name);
  REQUIRE(Service::start(loop, settings_in(dir.path(), "s")));
  CHECK(has(reported(dir / "journal.db"), "database-new raised"));
}

TEST_CASE("a damaged database is reported once, and the watch goes on") {
  const test::TempDir dir;
  EventLoop loop;
  REQUIRE(Service::start(loop, settings_in(dir.path(), "s")));
  {
    Database db = std::move(Database::open(dir / "journal.db").value());
    Decoded many;
    Message message;
    for (int i = 0; i < 30'000; ++i) {
      many.readings.push_back(
          {Time(seconds(i)), "hydrometer", Quantity::gravity, 1.04, TimeQuality::stamped});
    }
    REQUIRE(Journal(db).record(message, many));
  }
  fs::copy_file(dir / "journal.db", dir / "whole.db");
  {
    std::fstream file(dir / "journal.db", std::ios::in | std::ios::out | std::ios::binary);
    file.seekp(4096 * 100);
    const std::string rubbish(4096, '\xa5');
    file.write(rubbish.data(), static_cast<std::streamsize>(rubbish.size()));
  }
  REQUIRE(Service::start(loop, settings_in(dir.path(), "s")));
  REQUIRE(Service::start(loop, settings_in(dir.path(), "s")));
  const auto kinds = reported(dir / "journal.db");
  CHECK(std::count(kinds.begin(), kinds.end(), "database-damaged raised") == 1);
}
