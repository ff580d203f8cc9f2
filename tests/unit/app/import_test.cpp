// An imported batch is judged like one that was watched, and nobody is alerted.
#include <fmt/format.h>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "app/daemon_cellar.h"
#include "base/rfc3339.h"
#include "clock/message_clock.h"
#include "control/routes.h"
#include "support/made_up_readings.h"
#include "support/temp_dir.h"

using namespace gyle;
using nlohmann::json;

namespace {

constexpr const char* kHeader = "time,sensor,quantity,value\n";

struct House {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{database};
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  MessageClock clock;
  int news = 0;
  std::unique_ptr<Watch> watch;
  Announcer announcer{database, routing, [] {}};
  std::unique_ptr<DaemonCellar> cellar;

  House() { restart(); }
  void restart() {
    cellar.reset();
    watch = std::make_unique<Watch>(database, routing, [this] { ++news; });
    REQUIRE(watch->configure({{"left", {"hydrometer", "probe"}}}, {}).has_value());
    REQUIRE(watch->open().has_value());
    cellar = std::make_unique<DaemonCellar>(*watch, announcer, routing, database, clock, Time{}, "mqtt://l");
    REQUIRE(cellar->open().has_value());
  }
  HttpResponse ask(const char* method, const std::string& target, const std::string& body = "",
                   const char* type = "application/toml") {
    return respond({method, target, type, body}, *cellar, {});
  }
  json get(const std::string& target) {
    const HttpResponse response = ask("GET", target);
    CAPTURE(target, response.body);
    REQUIRE(response.status == 200);
    return json::parse(response.body);
  }
  HttpResponse send(const std::string& csv) {
    return ask("POST", "/v1/imports/season-1/readings", kHeader + csv, "text/csv");
  }
  HttpResponse name(const std::string& name, Time pitched, Time packaged, const char* key = "season-1") {
    return ask(
        "POST", fmt::format("/v1/imports/{}/batch?vessel=old&packaged={}", key, format_rfc3339(packaged)),
        fmt::format("name = \"{}\"\npitched = {}\noriginal_gravity = 1.05\n[yeast]\nname = \"House ale\"\n"
                    "attenuation = [0.72, 0.8]\n",
                    name, format_rfc3339(pitched)));
  }
};

std::string rows(const std::vector<Event>& events, std::size_t begin, std::size_t end) {
  std::string csv;
  for (std::size_t i = begin; i < end; ++i) {
    const Reading& r = std::get<Reading>(events[i]);
    csv += fmt::format("{},{},{},{}\n", format_rfc3339(r.time), r.sensor, gyle::name(r.quantity), r.value);
  }
  return csv;
}

}  // namespace

TEST_CASE("an imported batch is as if it had been watched, and none of its alerts is delivered") {
  const test::MadeUp made_up;
  const auto events = made_up.events();
  const Time packaged = made_up.pitched + days(10);
  House house;
  // Years later, in the middle of another batch, with ticks.
  const Time now = made_up.pitched + days(700);
  house.clock.observe(now);
  REQUIRE(
      house
          .ask("POST", "/v1/batches?vessel=left", "name = \"Today\"\npitched = " + format_rfc3339(now) + "\n")
          .status == 201);
  house.watch->tick(now + minutes(5));
  const auto open = house.news;

  const std::size_t half = events.size() / 2;
  CHECK(json::parse(house.send(rows(events, 0, half)).body)["new"] == half);
  CHECK(json::parse(house.send(rows(events, 0, half)).body)["new"] == 0);  // broken off, and begun again
  CHECK(json::parse(house.send(rows(events, half, events.size())).body)["new"] == events.size() - half);
  house.watch->tick(now + minutes(15));

  const HttpResponse made = house.name("Long ago", made_up.pitched, packaged);
  CAPTURE(made.body);
  REQUIRE(made.status == 201);
  const json batch = json::parse(made.body);
  CHECK(batch["vessel"] == "old");
  CHECK(batch["packaged"] == format_rfc3339(packaged));
  // The truth: from 1.050 to 1.012.
  CHECK(batch["view"]["gravity_sg"]["value"].get<double>() == Approx(1.012).margin(0.001));
  CHECK(batch["view"].contains("final_gravity_since"));
  std::string kinds;
  const json reported = house.get("/v1/batches/Long%20ago/alerts");
  for (const json& alert : reported["alerts"]) {
    kinds += alert["kind"].get<std::string>() + " ";
    CHECK(alert["over"] == true);
    CHECK(parse_rfc3339(alert["time"].get<std::string>()).value() < packaged);
  }
  CHECK_THAT(kinds, Catch::Contains("fermentation-started") && Catch::Contains("final-gravity-stable"));

  // Nothing waits for a channel, nobody is woken, and no sensor appears.
  CHECK(Outbox(house.database).waiting("log").value().empty());
  CHECK(Outbox(house.database).open().value().empty());
  CHECK(house.news == open);
  CHECK(house.get("/v1/sensors")["sensors"].empty());
  CHECK(house.get("/v1/yeasts/house%20ale")["yeast"]["batches_counted"] == 1);

  // A second import is refused, by its readings and by its name.
  const HttpResponse again = house.name("Another name", made_up.pitched, packaged);
  CHECK(again.status == 409);
  CHECK_THAT(again.body, Catch::Contains("imported already, as batch 2"));
  house.ask("POST", "/v1/imports/season-2/readings",
            kHeader + std::string("2024-01-01T00:00:00Z,x,gravity,1.05\n"), "text/csv");
  CHECK(house.name("Long ago", made_up.pitched, packaged, "season-2").status == 409);

  // It stays packaged, for it never was in a vessel here.
  CHECK(house.ask("POST", "/v1/batches/2/packaged?take_back=yes").status == 409);
  CHECK(BatchStore(house.database).open().value().size() == 1);

  // A restart gives the same judgement.
  const json before = house.get("/v1/batches/2");
  house.restart();
  CHECK(house.get("/v1/batches/2")["view"] == before["view"]);
  CHECK(house.get("/v1/sensors")["sensors"].empty());
  CHECK(Outbox(house.database).waiting("log").value().empty());
}

TEST_CASE("an impossible import is refused and changes nothing") {
  House house;
  const Time then = Time(days(20000));
  CHECK(house.send("2024-10-04T00:00:00Z,x,gravity,1.05\n").status == 409);  // what time is it?
  house.clock.observe(then + days(30));
  const HttpResponse ahead = house.send("2036-10-04T00:00:00Z,x,gravity,1.05\n");
  CHECK(ahead.status == 422);
  CHECK_THAT(ahead.body, Catch::Contains("a reading at Sat 4 Oct 2036 00:00 lies in the future; it is"));
  CHECK(house.send("2024-10-04T00:00:00Z,x,gravity,nan\n").status == 422);
  CHECK(house.send("2024-10-04,x,gravity,1.05\n").status == 400);
  CHECK(house.ask("POST", "/v1/imports/season-1/readings", kHeader, "text/plain").status == 415);
  CHECK(house.ask("POST", "/v1/imports/short/readings", kHeader, "text/csv").status == 400);
  CHECK(house.ask("POST", "/v1/imports/a%2Fb%20c%20d%20e/readings", kHeader, "text/csv").status == 400);
  CHECK(house.name("Amber", then, then + days(10)).status == 404);  // no readings
  REQUIRE(house.send("2024-10-05T00:00:00Z,x,gravity,1.05\n").status == 200);
  const HttpResponse before = house.name("Amber", then, then - days(1));
  CHECK(before.status == 422);
  CHECK_THAT(before.body,
             Catch::Contains("before it was pitched: Thu 3 Oct 00:00 is before Fri 4 Oct 00:00"));
  CHECK(house.name("Amber", then, then + days(31)).status == 422);  // in the future
  CHECK(house.ask("POST", "/v1/imports/season-1/batch?vessel=old", "").status == 400);
  CHECK(house.ask("POST", "/v1/imports/season-1/batch?packaged=2024-10-05T00:00:00Z", "").status == 400);
  CHECK(house.get("/v1/batches")["batches"].empty());
  CHECK(house.name("Amber", then, then + days(10)).status == 201);
}
