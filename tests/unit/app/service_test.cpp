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

namespace {

constexpr int kLong = 20'000;  // readings; seconds of work
const Time kPitched = parse_rfc3339("2025-03-01T18:30:00Z").value();

Time minute(int i) { return kPitched + minutes(i); }
double gravity_at(int i) { return 1.012 + 0.036 * std::exp(-i / 4000.0); }

std::string description(const char* original_gravity) {
  return "name = \"Long ago\"\npitched = " + format_rfc3339(kPitched) +
         "\noriginal_gravity = " + original_gravity + "\n";
}

void record_long(Database& db, const std::string& sensor) {
  Decoded all;
  for (int i = 0; i < kLong; ++i) {
    all.readings.push_back({minute(i), sensor, Quantity::gravity, gravity_at(i), TimeQuality::stamped});
  }
  Message message;
  message.received = minute(kLong);
  REQUIRE(Journal(db).record(message, all));
}

// The daemon on a thread of its own.
class Running {
 public:
  explicit Running(const Settings& settings) : socket_(settings.control.socket) {
    std::promise<bool> begun;
    thread_ = std::thread([&, settings] {
      auto service = Service::start(loop_, settings);
      begun.set_value(service.has_value());
      if (service) loop_.run();
    });
    started_ = begun.get_future().get();
  }
  Running(const Running&) = delete;
  Running& operator=(const Running&) = delete;
  ~Running() {
    loop_.stop();
    thread_.join();
  }

  bool started() const { return started_; }

  std::string ask(const std::string& method, const std::string& target, const char* type = "",
                  const std::string& body = "") const {
    const test::RawClient client(socket_);
    client.say(method + " " + target + " HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Type: " + type +
               "\r\nContent-Length: " + std::to_string(body.size()) + "\r\n\r\n" + body);
    std::string heard;
    for (int i = 0; i < 12 && heard.empty(); ++i) heard = client.hear_all();  // it gives up after 10 s
    return heard;
  }

  // The answer, and how often another request was answered before it came.
  std::pair<std::string, int> ask_beside(const std::string& method, const std::string& target,
                                         const char* type = "", const std::string& body = "") const {
    auto waiting = std::async(std::launch::async, [&] { return ask(method, target, type, body); });
    int answered = 0;
    while (waiting.wait_for(std::chrono::milliseconds(1)) != std::future_status::ready) {
      answered += ask("GET", "/v1/display").find("200 OK") != std::string::npos ? 1 : 0;
    }
    return {waiting.get(), answered};
  }

 private:
  const fs::path socket_;
  EventLoop loop_;
  std::thread thread_;
  bool started_ = false;
};

}  // namespace

TEST_CASE("while a long packaged batch is evaluated for its curve, other requests are answered") {
  const test::TempDir dir;
  {
    Database db = std::move(Database::open(dir / "journal.db").value());
    record_long(db, import_sensor("k"));
    REQUIRE(PastBatches(db).add({"left", "Long ago", kPitched, description("1.048")}, minute(kLong), "k"));
  }
  const Running daemon(settings_in(dir.path(), "s"));
  REQUIRE(daemon.started());
  const auto [curve, answered] = daemon.ask_beside("GET", "/v1/batches/1/curve");
  CHECK_THAT(curve, Contains("200 OK") && Contains("time,gravity_raw,gravity"));
  CHECK(std::count(curve.begin(), curve.end(), '\n') > 9'000);
  CHECK(answered >= 5);
}

TEST_CASE("while a long import is evaluated, other requests are answered") {
  const test::TempDir dir;
  const Running daemon(settings_in(dir.path(), "s"));
  REQUIRE(daemon.started());
  constexpr int kPieces = 2;  // a body has at most 1 MiB
  for (int piece = 0; piece < kPieces; ++piece) {
    std::ostringstream rows;
    rows << "time,sensor,quantity,value\n";
    for (int i = piece * kLong / kPieces; i < (piece + 1) * kLong / kPieces; ++i) {
      rows << format_rfc3339(minute(i)) << ",h,gravity," << gravity_at(i) << "\n";
    }
    CHECK_THAT(daemon.ask("POST", "/v1/imports/season-1/readings", "text/csv", rows.str()),
               Contains("200 OK"));
  }
  const std::string batch = "/v1/imports/season-1/batch?vessel=old&packaged=" + format_rfc3339(minute(kLong));
  const auto [made, answered] = daemon.ask_beside("POST", batch, "application/toml", description("1.048"));
  CHECK_THAT(made, Contains("201 Created") && Contains("\"name\":\"Long ago\"") && Contains("gravity_sg"));
  CHECK(answered >= 5);
  // Made once.
  CHECK_THAT(daemon.ask("POST", batch, "application/toml", description("1.048")),
             Contains("409 Conflict") && Contains("imported already, as batch 1"));
  CHECK_THAT(daemon.ask("GET", "/v1/batches/1/alerts"), Contains("\"kind\":\"fermentation-started\""));
}

TEST_CASE("while a long open batch is corrected, or packaged long ago, other requests are answered") {
  const test::TempDir dir;
  {
    Database db = std::move(Database::open(dir / "journal.db").value());
    record_long(db, "hydrometer");
    REQUIRE(BatchStore(db).pitch({"left", "Long ago", kPitched, description("1.048")}, {"hydrometer"}));
  }
  Settings settings = settings_in(dir.path(), "s");
  settings.vessels = {{"left", {"hydrometer"}}};
  const Running daemon(settings);
  REQUIRE(daemon.started());
  SECTION("corrected") {
    CHECK_THAT(daemon.ask("POST", "/v1/batches/1/description", "application/toml", description("1.056")),
               Contains("201 Created"));
    const auto [batch, answered] = daemon.ask_beside("GET", "/v1/batches/1");
    CHECK_THAT(batch, Contains("200 OK") && Contains("\"original_gravity_sg\":1.056"));
    CHECK(answered >= 5);
  }
  SECTION("packaged") {
    const std::string package = "/v1/batches/1/package?time=" + format_rfc3339(minute(kLong - 5000));
    const auto [batch, answered] = daemon.ask_beside("POST", package);
    CHECK_THAT(batch, Contains("200 OK") && Contains("\"packaged\":"));
    CHECK(answered >= 5);
    CHECK_THAT(daemon.ask("POST", package), Contains("409 Conflict"));  // once
  }
}
