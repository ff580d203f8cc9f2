// The daemon in this process, with a broker, on a machine whose clock is behind.
#include <fmt/format.h>
#include <catch2/catch.hpp>
#include <chrono>
#include <future>
#include <thread>

#include "app/service.h"
#include "clock/system_clock.h"
#include "storage/journal.h"
#include "storage/outbox.h"
#include "support/broker.h"
#include "support/temp_dir.h"

using namespace gyle;
using test::eventually;

namespace {

std::vector<std::string> reported(const std::filesystem::path& database) {
  Database db = std::move(Database::open(database).value());
  std::vector<std::string> kinds;
  const auto alerts = Outbox(db).system_alerts(100).value();
  for (const StoredAlert& alert : alerts) {
    if (alert.kind == "clock-behind") kinds.push_back(std::string(name(alert.state)) + " " + alert.sentence);
  }
  return kinds;
}

JournalCounts counts(const std::filesystem::path& database) {
  Database db = std::move(Database::open(database).value());
  return Journal(db).counts().value();
}

}  // namespace

TEST_CASE("messages ahead of a clock that is behind stay at the broker, and that is reported once") {
  const test::TempDir dir;
  test::Broker broker;
  broker.start();
  Settings settings;
  settings.mqtt.broker = broker.url();
  settings.storage.database = dir / "journal.db";
  settings.control.socket = dir / "s";
  settings.page.enabled = false;
  Source source;
  source.filter = "cellar/+/senml";
  settings.sources = {source};
  settings.vessels = {{"left", {"hydrometer"}}};

  // The journal received its last row ten days from now: the clock has been set back, or has lost its time.
  const Time truth = SystemClock().now() + days(10);
  {
    Database db = std::move(Database::open(settings.storage.database).value());
    Message message;
    message.received = truth;
    REQUIRE(Journal(db).record(message, {{{truth, "hydrometer", Quantity::gravity, 1.048}}, {}}));
  }

  EventLoop loop;
  std::promise<bool> begun;
  std::thread thread([&] {
    ServiceOptions options;
    options.look_period = Duration(20);
    options.clock_patience = Duration(200);
    auto service = Service::start(loop, settings, options);
    begun.set_value(service.has_value());
    if (service) loop.run();
    if (service) static_cast<void>(service.value()->stop());
  });
  const bool running = begun.get_future().get();
  const bool subscribed =
      running && eventually([&] { return broker.log().find("Sending SUBACK") != std::string::npos; });
  std::vector<std::string> late;
  if (subscribed) {
    std::vector<std::string> payloads;
    for (int i = 1; i <= 3; ++i) {
      payloads.push_back(fmt::format(R"([{{"n":"hydrometer:gravity","bt":{},"v":1.0{}}}])",
                                     (truth + hours(i)).time_since_epoch() / seconds(1), 47 - i));
    }
    broker.publish("cellar/hydrometer/senml", payloads);
    static_cast<void>(eventually([&] { return !reported(dir / "journal.db").empty(); }));
    std::this_thread::sleep_for(std::chrono::milliseconds(500));  // many looks, several attempts
    late = reported(dir / "journal.db");
  }
  const JournalCounts kept = counts(dir / "journal.db");
  const std::string log = broker.log();
  loop.stop();
  thread.join();

  REQUIRE(running);
  REQUIRE(subscribed);
  REQUIRE(late.size() == 1);
  CHECK_THAT(late[0], Catch::StartsWith("raised ") && Catch::Contains("clock"));
  CHECK(kept.readings == 1);
  CHECK(kept.refusals.empty());
  // The broker was sent no acknowledgement by the only subscriber; it acknowledged the three itself.
  CHECK(log.find("Received PUBACK") == std::string::npos);
  CHECK(log.find("Sending PUBACK") != std::string::npos);
}
