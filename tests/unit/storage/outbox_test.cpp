#include "storage/outbox.h"

#include <catch2/catch.hpp>

#include "messages.h"
#include "storage/batch_store.h"
#include "support/temp_dir.h"

using namespace gyle;
using namespace gyle::test;

namespace {

using Ids = std::vector<std::int64_t>;

const std::vector<std::string> kChannels{"log", "mqtt"};

NewAlert alert(std::int64_t batch, AlertKind kind, Time time, const char* sentence,
               Decision::State state = Decision::State::raised) {
  return alert_of(batch, {time, kind, state, 1, {}, "", {}}, sentence, R"({"gravity_sg":1.012})");
}

struct Fixture {
  TempDir dir;
  Database db = open(dir / "journal.db");
  Outbox outbox{db};
  std::int64_t batch = BatchStore(db).pitch({"left", "Amber no. 12", at(0), ""}).value();

  std::int64_t say(AlertKind kind, int minute, const char* sentence,
                   Decision::State state = Decision::State::raised) {
    return outbox.record(alert(batch, kind, at(minute), sentence, state), kChannels).value().value();
  }
  std::vector<std::string> sentences(const char* channel) {
    std::vector<std::string> all;
    const auto waiting = outbox.waiting(channel).value();
    for (const Waiting& one : waiting) all.push_back(one.alert.sentence);
    return all;
  }
  Ids ids(const char* channel) {
    Ids all;
    const auto waiting = outbox.waiting(channel).value();
    for (const Waiting& one : waiting) all.push_back(one.id);
    return all;
  }
};

using Sentences = std::vector<std::string>;

}  // namespace

TEST_CASE("an alert is stored once, with a delivery for each channel") {
  Fixture f;
  Decision step{at(10), AlertKind::step_due, Decision::State::raised, 1, 2, "", {}};
  const auto record = [&](const char* sentence) {
    return f.outbox.record(alert_of(f.batch, step, sentence, "{}"), kChannels).value().has_value();
  };
  CHECK(record("Raise it now."));
  CHECK_FALSE(record("Raise it now."));
  step.step = 3;
  CHECK(record("The other hold."));
  step.occurrence = 2;
  CHECK(record("Again."));
  step.state = Decision::State::withdrawn;
  CHECK(record("No longer."));
  Decision silent{at(20), AlertKind::sensor_silent, Decision::State::raised, 1, {}, "hydrometer-1", {}};
  CHECK(f.outbox.record(alert_of(f.batch, silent, "It is silent.", "{}"), kChannels).value());
  silent.sensor = "probe-1";
  CHECK(f.outbox.record(alert_of(f.batch, silent, "So is this.", "{}"), kChannels).value());
  CHECK(f.outbox.record(alert_of(f.batch + 1, step, "", "{}"), kChannels).error().code == Errc::not_found);

  const auto alerts = f.outbox.alerts(f.batch).value();
  REQUIRE(alerts.size() == 6);
  CHECK(alerts[0].kind == "step-due");
  CHECK(alerts[0].step == 2);
  CHECK(alerts[0].time == at(10));
  CHECK(alerts[0].sentence == "Raise it now.");
  CHECK(alerts[0].severity == Severity::notice);
  CHECK(alerts[0].batch_name == "Amber no. 12");
  CHECK(alerts[0].vessel == "left");
  CHECK(alerts[3].state == Decision::State::withdrawn);
  CHECK(alerts[3].occurrence == 2);
  CHECK(alerts[4].sensor == "hydrometer-1");
  CHECK(alerts[4].step == 0);
  CHECK(f.sentences("log").size() == 6);
  CHECK(f.sentences("mqtt").size() == 6);
  CHECK(f.sentences("carrier pigeon").empty());
}

TEST_CASE("a system alert has no batch, and a numbering of its own") {
  Fixture f;
  NewAlert lost;
  lost.kind = "broker-lost";
  lost.time = at(1);
  lost.severity = Severity::error;
  lost.sentence = "lost";
  const auto first = f.outbox.record(lost, kChannels).value();
  REQUIRE(first);
  CHECK(f.outbox.open().value().size() == 1);
  lost.state = Decision::State::withdrawn;
  lost.sentence = "back";
  CHECK(f.outbox.record(lost, kChannels).value());
  CHECK(f.outbox.open().value().empty());
  CHECK(f.outbox.alert(*first).value().over);
  lost.state = Decision::State::raised;
  CHECK(f.outbox.record(lost, kChannels).value());
  const auto words = f.outbox.system_alerts(2).value();
  REQUIRE(words.size() == 2);
  CHECK(words[0].sentence == "back");
  CHECK(words[0].occurrence == 1);
  CHECK(words[1].occurrence == 2);
  CHECK_FALSE(words[1].batch);
  CHECK(f.outbox.alerts(f.batch).value().empty());
}

TEST_CASE("undelivered alerts survive a restart, delivered ones are not sent again") {
  const TempDir dir;
  std::int64_t batch = 0;
  Parcel parcel{};
  {
    Database db = open(dir / "journal.db");
    batch = BatchStore(db).pitch({"left", "Amber no. 12", at(0), ""}).value();
    Outbox outbox(db);
    REQUIRE(outbox.record(alert(batch, AlertKind::fermentation_started, at(1), "It ferments."), kChannels));
    REQUIRE(outbox.record(alert(batch, AlertKind::stuck, at(2), "It is stuck."), kChannels));
    const auto waiting = outbox.waiting("mqtt").value();
    const Ids first{waiting.at(0).id}, second{waiting.at(1).id};
    REQUIRE(outbox.delivered(outbox.pack(first, Together::alone, at(3)).value().number, at(3), "ok"));
    parcel = outbox.pack(second, Together::sent_late, at(4)).value();
  }
  Database db = open(dir / "journal.db");
  Outbox outbox(db);
  CHECK_FALSE(outbox.record(alert(batch, AlertKind::stuck, at(2), "It is stuck."), kChannels).value());
  const auto waiting = outbox.waiting("mqtt").value();
  REQUIRE(waiting.size() == 1);
  CHECK(waiting[0].alert.kind == "stuck");
  REQUIRE(waiting[0].parcel);  // to be sent again as the message that it was
  CHECK(waiting[0].parcel->number == parcel.number);
  CHECK(waiting[0].parcel->together == Together::sent_late);
  CHECK(waiting[0].parcel->packed == at(4));
  CHECK(outbox.waiting("log").value().size() == 2);
}

TEST_CASE("a parcel fails, succeeds and is refused as one") {
  Fixture f;
  f.say(AlertKind::stuck, 1, "one");
  f.say(AlertKind::battery_low, 2, "two");
  f.say(AlertKind::step_due, 3, "three");
  const Ids all = f.ids("mqtt");
  const Ids two{all[0], all[1]};
  const std::int64_t parcel = f.outbox.pack(two, Together::at_once, at(4)).value().number;
  REQUIRE(f.outbox.failed(parcel, at(60), "no broker"));
  auto waiting = f.outbox.waiting("mqtt").value();
  REQUIRE(waiting.size() == 3);
  CHECK(waiting[0].attempts == 1);
  CHECK(waiting[1].next == at(60));
  CHECK(waiting[2].attempts == 0);
  CHECK(f.outbox.channels().value().at(1).trouble == "no broker");

  REQUIRE(f.outbox.refused(parcel, at(61), "401"));
  CHECK(f.sentences("mqtt") == Sentences{"three"});
  CHECK(f.outbox.channels().value().at(1).refused == 2);
  CHECK(f.outbox.channels().value().at(1).trouble == "401");
  CHECK(f.outbox.retry("mqtt").value() == 2);
  waiting = f.outbox.waiting("mqtt").value();
  CHECK(waiting.size() == 3);
  CHECK_FALSE(waiting[0].parcel);

  const Ids again{all[0], all[2]};
  REQUIRE(
      f.outbox.delivered(f.outbox.pack(again, Together::at_once, at(62)).value().number, at(62), "250 ok"));
  CHECK(f.sentences("mqtt") == Sentences{"two"});
  CHECK(f.outbox.channels().value().at(1).delivered_last == at(62));
  CHECK(f.sentences("log").size() == 3);  // another channel is not concerned
}

TEST_CASE("reminders are deliveries with a number, each once") {
  Fixture f;
  const std::int64_t stuck = f.say(AlertKind::stuck, 1, "stuck");
  const std::vector<std::string> phone{"phone"};
  CHECK(f.outbox.remind(stuck, 1, phone).value());
  CHECK_FALSE(f.outbox.remind(stuck, 1, phone).value());
  CHECK(f.outbox.remind(stuck, 2, phone).value());
  const auto waiting = f.outbox.waiting("phone").value();
  REQUIRE(waiting.size() == 2);
  CHECK(waiting[1].reminder == 2);
  const Ids first{waiting[0].id};
  REQUIRE(f.outbox.overtaken(first, at(5)));
  CHECK(f.outbox.waiting("phone").value().size() == 1);
  CHECK(f.outbox.fate(stuck, "phone").value().outcome == "overtaken");
  CHECK(f.outbox.fate(stuck, "pigeon").error().code == Errc::not_found);
}

TEST_CASE("open alerts are known, with their acknowledgement and snooze") {
  Fixture f;
  const std::int64_t stuck = f.say(AlertKind::stuck, 1, "stuck");
  const std::int64_t battery = f.say(AlertKind::battery_low, 2, "battery");
  f.say(AlertKind::battery_low, 3, "good again", Decision::State::withdrawn);
  REQUIRE(f.outbox.open().value().size() == 1);
  CHECK(f.outbox.open().value()[0].id == stuck);
  REQUIRE(f.outbox.acknowledge(stuck, at(5)));
  REQUIRE(f.outbox.snooze(stuck, at(50)));
  CHECK(f.outbox.alert(stuck).value().acknowledged == at(5));
  CHECK(f.outbox.alert(stuck).value().snoozed_until == at(50));
  CHECK(f.outbox.alert(battery).value().over);
  CHECK(f.outbox.acknowledge(999, at(5)).error().code == Errc::not_found);
  REQUIRE(BatchStore(f.db).package(f.batch, at(60)));
  CHECK(f.outbox.open().value().empty());
  CHECK(f.outbox.alert(stuck).value().over);
}

TEST_CASE("deliveries for a channel that is gone are given up") {
  Fixture f;
  f.say(AlertKind::stuck, 1, "stuck");
  const std::vector<std::string> left{"log"};
  REQUIRE(f.outbox.keep_only(left, at(2)));
  CHECK(f.sentences("mqtt").empty());
  CHECK(f.sentences("log").size() == 1);
}
