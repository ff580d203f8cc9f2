#include "app/set_points.h"

#include <catch2/catch.hpp>

#include "app/daemon_cellar.h"
#include "base/rfc3339.h"
#include "support/manual_clock.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Contains;
using State = SetPoint::State;

namespace {

const Time kPitched = parse_rfc3339("2026-03-01T18:30:00Z").value();

struct Published {
  std::string topic;
  std::string payload;
  bool retained;
};

// A vessel with a thermostat, and a batch whose first hold takes four days. Published messages wait in
// `waiting` until the broker answers.
struct HeatedCellar {
  explicit HeatedCellar(bool automatic) {
    SetPointSettings settings;
    settings.topic = "cellar/left/target";
    settings.rule = {Celsius{10}, Celsius{24}, automatic, minutes(10), minutes(30)};
    vessels = {{"left", {"hydrometer", "probe"}, settings}, {"right", {}, {}}};
    start();
  }

  void start() {
    set_points.reset();
    watch = std::make_unique<Watch>(database, routing, [] {});
    REQUIRE(watch->configure(vessels, {}).has_value());
    REQUIRE(watch->open().has_value());
    announcer = std::make_unique<Announcer>(database, routing, [] {});
    cellar = std::make_unique<DaemonCellar>(*watch, *announcer, routing, database, clock, Time{}, "");
    set_points = std::make_unique<SetPoints>(
        database, *watch, clock,
        SetPoints::Ways{[this](std::string topic, std::string payload, bool retained, auto done) {
                          published.push_back({topic, payload, retained});
                          waiting.push_back(done);
                        },
                        [this] { return may_send; }});
    cellar->use(*set_points);
  }

  std::int64_t pitch(double second = 22) {
    BatchSpec spec;
    spec.name = "Amber";
    spec.pitched = kPitched;
    spec.plan = {{Celsius{18}, UntilDays{4}}, {Celsius{second}, UntilDays{4}}, {Celsius{20}, UntilDays{4}}};
    return watch->pitch("left", spec).value();
  }
  // Time passes; the broker takes what is sent.
  void at(Duration since_pitch) {
    clock.set(kPitched + since_pitch);
    watch->tick(clock.now());
    look();
  }
  void look() {
    set_points->look(cellar->batches());
    answer(success());
  }
  void answer(const Status& status) {
    const auto all = std::exchange(waiting, {});
    for (const auto& done : all) done(status);
  }
  SetPointReport report() { return cellar->set_point(1).value(); }
  State state() { return report().status.next.state; }
  std::vector<std::string> payloads() const {
    std::vector<std::string> all;
    for (const Published& one : published) all.push_back(one.payload);
    return all;
  }

  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  test::ManualClock clock{kPitched};
  std::vector<Vessel> vessels;
  std::unique_ptr<Watch> watch;
  std::unique_ptr<Announcer> announcer;
  std::unique_ptr<DaemonCellar> cellar;
  std::unique_ptr<SetPoints> set_points;
  std::vector<Published> published;
  std::vector<std::function<void(Status)>> waiting;
  bool may_send = true;
};

using Payloads = std::vector<std::string>;

}  // namespace

TEST_CASE("automatically, each hold's end is followed by its temperature, then by the same at its pace") {
  HeatedCellar cellar(true);
  cellar.pitch();
  cellar.at(days(4) - hours(1));
  CHECK(cellar.published.empty());
  CHECK(cellar.state() == State::none);
  cellar.at(days(4) + minutes(1));
  REQUIRE(cellar.published.size() == 1);
  CHECK(cellar.published[0].topic == "cellar/left/target");
  CHECK(cellar.published[0].payload == "22");
  CHECK_FALSE(cellar.published[0].retained);
  CHECK(cellar.state() == State::asked);
  cellar.look();
  cellar.at(days(4) + minutes(10));
  CHECK(cellar.published.size() == 1);
  cellar.at(days(4) + minutes(12));
  CHECK(cellar.payloads() == Payloads{"22", "22"});
  cellar.at(days(8) + minutes(20));
  CHECK(cellar.payloads().back() == "20");
}

TEST_CASE("an unconfirmed temperature is not sent, a confirmed one is, once") {
  HeatedCellar cellar(false);
  cellar.pitch();
  cellar.at(days(4) + minutes(1));
  CHECK(cellar.published.empty());
  CHECK(cellar.state() == State::awaits_yes);
  CHECK(cellar.cellar->confirm_set_point(1, 2).error().code == Errc::conflict);
  CHECK(cellar.published.empty());
  const auto confirmed = cellar.cellar->confirm_set_point(1, 1);
  REQUIRE(confirmed.has_value());
  CHECK(cellar.payloads() == Payloads{"22"});
  cellar.answer(success());
  CHECK(cellar.state() == State::asked);
  CHECK(cellar.cellar->confirm_set_point(1, {}).error().code == Errc::conflict);
  // The next one waits again, and what was asked for before is left alone.
  cellar.at(days(8) + minutes(20));
  CHECK(cellar.state() == State::awaits_yes);
  CHECK(cellar.payloads() == Payloads{"22"});
}

TEST_CASE("a confirmation survives a restart, and the temperature in force is sent again") {
  HeatedCellar cellar(false);
  cellar.pitch();
  cellar.at(days(4) + minutes(1));
  cellar.may_send = false;  // the connection is lost just then
  REQUIRE(cellar.cellar->confirm_set_point(1, {}).has_value());
  CHECK(cellar.published.empty());
  cellar.start();
  CHECK(cellar.state() == State::agreed);
  cellar.may_send = true;
  cellar.look();
  CHECK(cellar.payloads() == Payloads{"22"});
  cellar.start();
  cellar.look();
  CHECK(cellar.payloads() == Payloads{"22", "22"});
  cellar.look();
  CHECK(cellar.published.size() == 2);
}

TEST_CASE("a temperature outside of the limits is never published, and reported") {
  const double wanted = GENERATE(2.0, 24.5);
  HeatedCellar cellar(true);
  cellar.pitch(wanted);
  cellar.at(days(4) + minutes(1));
  cellar.at(days(5));
  CHECK(cellar.published.empty());
  CHECK(cellar.state() == State::outside_limits);
  CHECK(cellar.cellar->confirm_set_point(1, {}).error().code == Errc::conflict);
  const auto alerts = cellar.cellar->alerts(1).value();
  REQUIRE(!alerts.empty());
  CHECK_THAT(alerts.back().text, Contains("not asked"));
}

TEST_CASE("a message that the broker has not answered yet is not followed by another") {
  HeatedCellar cellar(true);
  cellar.pitch();
  cellar.clock.set(kPitched + days(4) + minutes(1));
  cellar.watch->tick(cellar.clock.now());
  for (int i = 0; i < 3; ++i) cellar.set_points->look(cellar.cellar->batches());
  CHECK(cellar.published.size() == 1);
  cellar.answer(fail(Errc::refused, "the broker does not permit it"));
  CHECK(cellar.report().status.trouble == "the broker does not permit it");
  CHECK(cellar.state() == State::agreed);
  cellar.look();
  CHECK(cellar.published.size() == 1);
  cellar.at(days(4) + minutes(3));
  CHECK(cellar.published.size() == 2);
  CHECK(cellar.report().status.trouble.empty());
}

TEST_CASE("two batches in succession keep the thermostat's pace") {
  HeatedCellar cellar(true);
  cellar.pitch();
  cellar.at(days(4) + minutes(1));
  REQUIRE(cellar.published.size() == 1);
  REQUIRE(cellar.cellar->package(1, {}).has_value());
  CHECK(cellar.state() == State::ended);
  BatchSpec late;  // entered four days after its pitch
  late.name = "Second";
  late.pitched = kPitched;
  late.plan = {{Celsius{12}, UntilDays{4}}, {Celsius{14}, UntilDays{9}}};
  REQUIRE(cellar.watch->pitch("left", late).has_value());
  cellar.at(days(4) + minutes(20));
  CHECK(cellar.payloads() == Payloads{"22"});
  cellar.at(days(4) + minutes(32));
  CHECK(cellar.payloads() == Payloads{"22", "14"});
}

TEST_CASE("a vessel without a thermostat is left alone") {
  HeatedCellar cellar(true);
  BatchSpec spec;
  spec.name = "Amber";
  spec.pitched = kPitched;
  spec.plan = {{Celsius{18}, UntilDays{4}}, {Celsius{22}, UntilDays{4}}};
  REQUIRE(cellar.watch->pitch("right", spec).has_value());
  cellar.at(days(5));
  CHECK(cellar.published.empty());
  CHECK(cellar.state() == State::off);
  CHECK_THAT(cellar.cellar->alerts(1).value().back().text, !Contains("thermostat"));
}
