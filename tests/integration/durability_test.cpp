#include <catch2/catch.hpp>
#include <map>
#include <random>

#include "storage/journal.h"
#include "support/broker.h"

using namespace gyle;
using namespace gyle::test;

namespace {

// How often each value is in the journal.
std::map<double, int> journalled(const std::filesystem::path& path) {
  auto database = Database::open(path);
  if (!database) throw std::runtime_error(database.error().message);
  REQUIRE(database.value().check());
  Journal journal(database.value());
  std::map<double, int> values;
  REQUIRE(journal.rows({{"cellar/probe"}, {}, 0, 1'000'000},
                       [&values](const JournalRow& row) { ++values[row.reading.value]; }));
  return values;
}

std::int64_t kept(const std::filesystem::path& path) {
  auto database = Database::open(path);
  return database ? Journal(database.value()).counts().value().readings : 0;
}

struct Recorder {
  const Broker& broker;
  std::filesystem::path database;

  std::unique_ptr<Process> start(const std::string& where = "never", int nth = 0) const {
    return std::make_unique<Process>(
        std::vector<std::string>{MQTT_RECORDER, broker.url(), database.string(), where, std::to_string(nth)},
        broker.folder() / "recorder.log");
  }
  // Connects once, so that the broker knows the session and its subscription.
  void introduce() const {
    const auto process = start();
    REQUIRE(
        eventually([this] { return broker.log().find("Sending SUBACK to recorder") != std::string::npos; }));
    process->send(SIGTERM);
    REQUIRE(process->wait().value_or(999) == 0);
  }
  void run_until(std::int64_t readings) const {
    std::filesystem::remove(broker.folder() / "recorder.log");
    const auto process = start();
    const auto has_connected = [this] {
      std::error_code absent;
      const auto size = std::filesystem::file_size(broker.folder() / "recorder.log", absent);
      return !absent && size > 0;
    };
    CHECK(eventually([&] { return kept(database) >= readings && has_connected(); }));
    process->send(SIGTERM);
    CHECK(process->wait().value_or(999) == 0);
  }
};

// Values of a probe in a slow beer: each comes five times, one after the other, so that content tells
// nothing.
std::vector<std::string> slow_beer(int first, int count) {
  std::vector<std::string> payloads;
  for (int i = first; i < first + count; ++i) payloads.push_back(std::to_string(i / 5));
  return payloads;
}

void check_each_five_times(const std::map<double, int>& values, int messages) {
  CHECK(values.size() == static_cast<std::size_t>(messages / 5));
  for (const auto& [value, times] : values) {
    CAPTURE(value);
    CHECK(times == 5);
  }
}

}  // namespace

TEST_CASE("killed at any step of a message, each message is in the journal exactly once") {
  const std::string where = GENERATE(std::string("before"), std::string("inside"), std::string("after"));
  CAPTURE(where);
  const TempDir dir;
  Broker broker;
  broker.start();
  const Recorder recorder{broker, dir / "journal.db"};
  recorder.introduce();
  constexpr int kMessages = 500;
  broker.publish("cellar/probe", slow_beer(0, kMessages));
  std::mt19937 random(7);
  for (int round = 0; round < 15; ++round) {
    const auto process = recorder.start(where, 1 + static_cast<int>(random() % 30));
    REQUIRE(process->wait().value_or(999) == -SIGKILL);
  }
  CHECK(kept(recorder.database) < kMessages);  // there was something left to lose
  recorder.run_until(kMessages);
  check_each_five_times(journalled(recorder.database), kMessages);
}

TEST_CASE("killed at any moment while messages flow, each message is in the journal exactly once") {
  const TempDir dir;
  Broker broker;
  broker.start();
  const Recorder recorder{broker, dir / "journal.db"};
  recorder.introduce();
  constexpr int kBurst = 400;
  constexpr int kRounds = 15;
  std::mt19937 random(11);
  for (int round = 0; round < kRounds; ++round) {
    const auto messages = slow_beer(round * kBurst, kBurst);
    if (round % 2 == 0) broker.publish("cellar/probe", messages);  // a backlog
    const std::int64_t before = kept(recorder.database);
    const auto process = recorder.start();
    if (round % 2 == 1) broker.publish("cellar/probe", messages);  // live
    const int enough = static_cast<int>(random() % kBurst);
    REQUIRE(eventually([&] { return kept(recorder.database) >= before + enough; }));
    process->send(SIGKILL);
    REQUIRE(process->wait().value_or(999) == -SIGKILL);
  }
  recorder.run_until(kRounds * kBurst);
  check_each_five_times(journalled(recorder.database), kRounds * kBurst);
}

TEST_CASE("a broker that is stopped and started, or killed after it has saved, loses and repeats nothing") {
  const bool killed = GENERATE(false, true);
  CAPTURE(killed);
  const TempDir dir;
  Broker broker;
  broker.start();
  const Recorder recorder{broker, dir / "journal.db"};
  recorder.introduce();
  {
    const auto process = recorder.start();
    broker.publish("cellar/probe", slow_beer(0, 200));
    REQUIRE(eventually([&] { return kept(recorder.database) == 200; }));
    process->send(SIGKILL);
    process->wait();
  }
  broker.publish("cellar/probe", slow_beer(200, 200));  // for a sleeping recorder
  if (killed) {
    // It saves every second: once for what is there now.
    const auto saved = [&] { return std::filesystem::last_write_time(broker.folder() / "mosquitto.db"); };
    const auto now = std::filesystem::file_time_type::clock::now();
    REQUIRE(eventually(
        [&] { return std::filesystem::exists(broker.folder() / "mosquitto.db") && saved() > now; }));
    broker.kill();
  } else {
    broker.stop();
  }
  const auto process = recorder.start();  // finds no broker at first
  broker.start();
  CHECK(eventually([&] { return kept(recorder.database) >= 400; }));
  broker.publish("cellar/probe", slow_beer(400, 100));
  CHECK(eventually([&] { return kept(recorder.database) >= 500; }));
  process->send(SIGTERM);
  CHECK(process->wait().value_or(999) == 0);
  check_each_five_times(journalled(recorder.database), 500);
}

TEST_CASE("a stop while a message cannot be kept takes a second, and the message comes again") {
  const std::string where = GENERATE(std::string("full"), std::string("hang"));
  CAPTURE(where);
  const TempDir dir;
  Broker broker;
  broker.start();
  const Recorder recorder{broker, dir / "journal.db"};
  recorder.introduce();
  broker.publish("cellar/probe", slow_beer(0, 100));
  const auto process = recorder.start(where, 51);
  REQUIRE(eventually([&] { return kept(recorder.database) == 50; }));
  process->send(SIGTERM);
  CHECK(process->wait(std::chrono::seconds(1)).value_or(999) == 3);
  CHECK(kept(recorder.database) == 50);
  recorder.run_until(100);
  check_each_five_times(journalled(recorder.database), 100);
}
