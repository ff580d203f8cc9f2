#include "storage/outbox.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

Decision decision(AlertKind kind, Time time, Decision::State state = Decision::State::raised,
                  int occurrence = 1) {
  return {time, kind, state, occurrence, {}, "", {{"gravity_sg", 1.012}}};
}

const std::vector<std::string> kChannels{"log", "mqtt"};

std::int64_t pitched(Database& db) {
  return BatchStore(db).pitch({"left", "Harbour amber", at(0), ""}).value();
}

}  // namespace

TEST_CASE("a decision is stored once, with a delivery for each channel") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const std::int64_t batch = pitched(db);
  Outbox outbox(db);
  Decision step = decision(AlertKind::step_due, at(10));
  step.step = 2;
  CHECK(outbox.record(batch, step, "Raise it now.", R"({"gravity_sg":1.012})", kChannels).value());
  CHECK_FALSE(outbox.record(batch, step, "Raise it now.", "{}", kChannels).value());
  step.step = 3;
  CHECK(outbox.record(batch, step, "The other hold.", "{}", kChannels).value());
  step.occurrence = 2;
  CHECK(outbox.record(batch, step, "Again.", "{}", kChannels).value());
  step.state = Decision::State::withdrawn;
  CHECK(outbox.record(batch, step, "No longer.", "{}", kChannels).value());
  Decision silent = decision(AlertKind::sensor_silent, at(20));
  silent.sensor = "float-1";
  CHECK(outbox.record(batch, silent, "It is silent.", "{}", kChannels).value());
  silent.sensor = "probe-1";
  CHECK(outbox.record(batch, silent, "So is this.", "{}", kChannels).value());
  CHECK(outbox.record(batch + 1, step, "", "{}", kChannels).error().code == Errc::not_found);

  const auto alerts = outbox.alerts(batch).value();
  REQUIRE(alerts.size() == 6);
  CHECK(alerts[0].decision.kind == AlertKind::step_due);
  CHECK(alerts[0].decision.step == 2);
  CHECK(alerts[0].decision.time == at(10));
  CHECK(alerts[0].sentence == "Raise it now.");
  CHECK(alerts[0].evidence == R"({"gravity_sg":1.012})");
  CHECK(alerts[0].severity == "notice");
  CHECK(alerts[0].batch_name == "Harbour amber");
  CHECK(alerts[0].vessel == "left");
  CHECK(alerts[3].decision.state == Decision::State::withdrawn);
  CHECK(alerts[3].decision.occurrence == 2);
  CHECK(alerts[4].decision.sensor == "float-1");
  CHECK_FALSE(alerts[4].decision.step);
  CHECK(outbox.due("log", at(0)).value().size() == 6);
  CHECK(outbox.due("mqtt", at(0)).value().size() == 6);
  CHECK(outbox.due("carrier pigeon", at(0)).value().empty());
}

TEST_CASE("what is undelivered survives a restart, what is delivered is not said again") {
  const TempDir dir;
  std::int64_t batch = 0;
  {
    Database db = open(dir / "journal.db");
    batch = pitched(db);
    Outbox outbox(db);
    REQUIRE(outbox.record(batch, decision(AlertKind::fermentation_started, at(1)), "It ferments.", "{}",
                          kChannels));
    REQUIRE(outbox.record(batch, decision(AlertKind::stuck, at(2)), "It is stuck.", "{}", kChannels));
    REQUIRE(outbox.delivered(outbox.due("mqtt", at(3)).value().at(0).id, at(3)));
  }
  Database db = open(dir / "journal.db");
  Outbox outbox(db);
  CHECK_FALSE(
      outbox.record(batch, decision(AlertKind::stuck, at(2)), "It is stuck.", "{}", kChannels).value());
  const auto due = outbox.due("mqtt", at(3)).value();
  REQUIRE(due.size() == 1);
  CHECK(due[0].alert.decision.kind == AlertKind::stuck);
  CHECK(outbox.due("log", at(3)).value().size() == 2);
}

TEST_CASE("a failed delivery waits, and what follows on the same matter waits for it") {
  const TempDir dir;
  Database db = open(dir / "journal.db");
  const std::int64_t batch = pitched(db);
  Outbox outbox(db);
  CHECK_FALSE(outbox.next_due().value());
  REQUIRE(outbox.record(batch, decision(AlertKind::stuck, at(1)), "stuck", "{}", kChannels));
  REQUIRE(outbox.record(batch, decision(AlertKind::stuck, at(2), Decision::State::withdrawn), "not", "{}",
                        kChannels));
  REQUIRE(outbox.record(batch, decision(AlertKind::battery_low, at(3)), "battery", "{}", kChannels));
  REQUIRE(outbox.failed(outbox.due("mqtt", at(3)).value().at(0).id, at(60), "no broker"));

  const auto now = outbox.due("mqtt", at(3)).value();
  REQUIRE(now.size() == 1);
  CHECK(now[0].alert.sentence == "battery");
  CHECK(outbox.due("log", at(3)).value().size() == 3);  // another channel is not held up

  const auto later = outbox.due("mqtt", at(60)).value();
  REQUIRE(later.size() == 3);
  CHECK(later[0].alert.sentence == "stuck");
  CHECK(later[0].attempts == 1);
  CHECK(later[1].alert.sentence == "not");

  for (const char* channel : {"log", "mqtt"}) {
    const auto pending_now = outbox.due(channel, at(60)).value();
    for (const Pending& pending : pending_now) REQUIRE(outbox.delivered(pending.id, at(60)));
  }
  CHECK_FALSE(outbox.next_due().value());
}
