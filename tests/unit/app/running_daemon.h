#pragma once

#include <catch2/catch.hpp>
#include <memory>
#include <nlohmann/json.hpp>

#include "app/daemon_cellar.h"
#include "clock/message_clock.h"
#include "control/routes.h"
#include "support/temp_dir.h"

namespace gyle::test {

// The daemon without its network: tests deliver the messages and make the requests.
struct RunningDaemon {
  TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{database};
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  MessageClock clock;
  std::unique_ptr<Watch> watch;
  std::unique_ptr<Announcer> announcer;
  std::unique_ptr<DaemonCellar> cellar;

  RunningDaemon() { restart(); }

  void restart() {
    cellar.reset();
    watch = std::make_unique<Watch>(database, routing, [] {});
    announcer = std::make_unique<Announcer>(database, routing, [] {});
    cellar = std::make_unique<DaemonCellar>(*watch, *announcer, routing, database, clock, Time{}, "");
    REQUIRE(watch->configure({{"cellar", {"hydrometer", "probe"}}, {"attic", {}}}, {}).has_value());
    REQUIRE(watch->open().has_value());
    REQUIRE(cellar->open().has_value());
  }
  void deliver(const std::vector<Reading>& readings, Time received) {
    Message message;
    message.received = received;
    clock.observe(received);
    const auto rows = journal.record(message, {readings, {}}).value();
    for (const JournalRow& row : rows) {
      cellar->heard(row);
      watch->take(row);
    }
  }
  StoredBatch batch(std::size_t n = 0) { return BatchStore(database).all().value().at(n); }
  BatchTrace trace() { return *watch->trace(batch()).value(); }
  HttpResponse ask(const char* method, const std::string& target, const std::string& body = "") {
    return respond({method, target, "text/plain", body}, *cellar, {});
  }
  nlohmann::json answer(const char* method, const std::string& target, const std::string& body = "") {
    const HttpResponse response = ask(method, target, body);
    CAPTURE(response.body);
    REQUIRE(response.status < 300);
    return nlohmann::json::parse(response.body);
  }
  std::vector<std::string> reported() {
    std::vector<std::string> lines;
    const auto alerts = Outbox(database).alerts(batch().id).value();
    for (const StoredAlert& alert : alerts) {
      lines.push_back(alert.kind + " " + name(alert.state) + ": " + alert.sentence);
    }
    return lines;
  }
};

}  // namespace gyle::test
