// The whole daemon in this process, without a broker.
#include "app/service.h"

#include <spdlog/sinks/ostream_sink.h>
#include <spdlog/spdlog.h>
#include <sqlite3.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <future>
#include <sstream>
#include <thread>

#include "base/rfc3339.h"
#include "storage/journal.h"
#include "storage/outbox.h"
#include "storage/past_batches.h"
#include "support/failing_disk.h"
#include "support/raw_client.h"
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
  const auto alerts = Outbox(db).system_alerts(100).value();
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

TEST_CASE("that the database cannot be written reaches the channels without it, once") {
  const test::FailingDisk disk;
  const test::TempDir dir;
  std::ostringstream log;
  const auto logger = spdlog::default_logger();
  const auto sink = std::make_shared<spdlog::sinks::ostream_sink_mt>(log);
  sink->set_pattern("%l %v");
  spdlog::set_default_logger(std::make_shared<spdlog::logger>("test", sink));
  Settings settings = settings_in(dir.path(), "s");
  settings.alerts.channels = {{"log", {}, false, false, false, LogSettings{}}};
  // As the log channel writes it; the daemon's own line about it has another level.
  const auto sent = [&](const std::string& sentence) {
    std::istringstream lines(log.str());
    int count = 0;
    for (std::string line; std::getline(lines, line);) {
      count += line.starts_with("critical [") && line.find(sentence) != std::string::npos ? 1 : 0;
      count += line.starts_with("info [") && line.find(sentence) != std::string::npos ? 1 : 0;
    }
    return count;
  };
  const char* const unwritable = "The watcher's database cannot be written";
  const char* const writable = "The watcher's database can be written again";
  {
    EventLoop loop;
    ServiceOptions options;
    options.look_period = Duration(20);
    REQUIRE(Service::start(loop, settings, options));  // makes the database
    const bool at_start = GENERATE(false, true);
    CAPTURE(at_start);
    if (at_start) test::FailingDisk::fail_from(1, SQLITE_FULL);
    auto service = Service::start(loop, settings, options);
    REQUIRE(service);
    if (!at_start) test::FailingDisk::fail_from(1, SQLITE_FULL);
    int looks = 0;
    int sent_while_full = 0;
    loop.every(Duration(20), [&] {
      ++looks;
      if (looks == 20) {
        sent_while_full = sent(unwritable);
        test::FailingDisk::heal();
      }
      if ((looks > 20 && sent(writable) > 0) || looks == 500) loop.stop();
    });
    loop.run();
    CHECK(sent_while_full == 1);
    CHECK(sent(unwritable) == 1);
    CHECK(sent(writable) == 1);
  }
  spdlog::set_default_logger(logger);
  const auto kinds = reported(dir / "journal.db");
  CHECK(std::count(kinds.begin(), kinds.end(), "database-unwritable raised") == 1);
  CHECK(std::count(kinds.begin(), kinds.end(), "database-unwritable withdrawn") == 1);
}

TEST_CASE("while a long packaged batch is evaluated for its curve, other requests are answered") {
  const test::TempDir dir;
  constexpr int kReadings = 40'000;  // seconds of work
  const Time pitched = parse_rfc3339("2025-03-01T18:30:00Z").value();
  const auto minute = [&](int i) { return pitched + minutes(i); };
  {
    Database db = std::move(Database::open(dir / "journal.db").value());
    Decoded all;
    for (int i = 0; i < kReadings; ++i) {
      const double gravity = 1.012 + 0.036 * std::exp(-i / 4000.0);
      all.readings.push_back(
          {minute(i), import_sensor("k"), Quantity::gravity, gravity, TimeQuality::stamped});
    }
    Message message;
    message.received = minute(kReadings);
    REQUIRE(Journal(db).record(message, all));
    const std::string spec =
        "name = \"Long ago\"\npitched = " + format_rfc3339(pitched) + "\noriginal_gravity = 1.048\n";
    REQUIRE(PastBatches(db).add({"left", "Long ago", pitched, spec}, minute(kReadings), "k"));
  }
  std::promise<bool> begun;
  EventLoop loop;
  std::thread thread([&] {
    auto service = Service::start(loop, settings_in(dir.path(), "s"));
    begun.set_value(service.has_value());
    if (service) loop.run();
  });
  const bool running = begun.get_future().get();
  int answered = 0;
  std::string curve;
  if (running) {
    const auto ask = [&](const std::string& target) {
      const test::RawClient client(dir / "s");
      client.say("GET " + target + " HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n");
      std::string heard;
      for (int i = 0; i < 12 && heard.empty(); ++i) heard = client.hear_all();  // it gives up after 10 s
      return heard;
    };
    auto waiting = std::async(std::launch::async, [&] { return ask("/v1/batches/1/curve"); });
    while (waiting.wait_for(std::chrono::milliseconds(1)) != std::future_status::ready) {
      answered += ask("/v1/status").find("200 OK") != std::string::npos ? 1 : 0;
    }
    curve = waiting.get();
  }
  loop.stop();
  thread.join();
  CHECK(running);
  CHECK_THAT(curve, Contains("200 OK") && Contains("time,gravity_raw,gravity"));
  CHECK(std::count(curve.begin(), curve.end(), '\n') > 9'000);
  CHECK(answered >= 5);
}
