// The answers of the running daemon, checked against the API description that it serves.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>

#include "app/daemon_cellar.h"
#include "base/rfc3339.h"
#include "clock/message_clock.h"
#include "control/openapi.h"
#include "control/routes.h"
#include "rehearsal/rehearsal.h"
#include "support/json_schema.h"
#include "support/temp_dir.h"

using namespace gyle;
using nlohmann::json;

namespace {

struct RunningDaemon {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{database};
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  MessageClock clock;
  Watch watch{database, routing, [] {}};
  Announcer announcer{database, routing, [] {}};
  DaemonCellar cellar{watch, announcer, routing, database, clock, Time{}, "mqtt://localhost"};

  RunningDaemon() { REQUIRE(watch.configure({{"cellar", {"hydrometer", "probe"}}}, {}).has_value()); }

  HttpResponse ask(const char* method, const std::string& target, const std::string& body = "") {
    return respond({method, target, "text/plain", body}, cellar, {});
  }
};

}  // namespace

TEST_CASE("the answers about a whole fermentation match the API description, open and packaged") {
  RehearsalOptions options;
  options.seed = 7;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(20);
  const Rehearsal rehearsal = rehearse(options).value();
  RunningDaemon daemon;
  REQUIRE(daemon.watch.pitch("cellar", rehearsal.spec).has_value());
  for (const auto& rehearsed : rehearsal.messages) {
    Message message;
    message.received = rehearsed.delivered;
    daemon.clock.observe(message.received);
    const auto rows = daemon.journal.record(message, {rehearsed.readings, {}});
    for (const JournalRow& row : rows.value()) {
      daemon.cellar.heard(row);
      daemon.watch.take(row);
    }
  }
  CHECK(daemon.ask("POST", "/v1/batches/cellar/samples?gravity=1.0120").status == 201);
  daemon.cellar.database_trouble("cannot write to the journal: database or disk is full");
  CHECK(daemon.ask("POST", "/v1/batches/cellar/notes?time=2026-03-05T18:30:00Z", "Dry hops.").status == 201);
  CHECK(daemon.ask("POST", "/v1/batches/cellar/notes?time=2026-03-05T18:30:00Z", "Dry hops.").status == 409);
  CHECK(daemon.ask("POST", "/v1/batches/cellar/notes?time=2027-03-05T18:30:00Z", "Later.").status == 422);
  CHECK(daemon.ask("POST", "/v1/batches/cellar/notes", "\xff").status == 400);

  const json api = json::parse(openapi_document());
  test::SchemaCheck schemas(api);
  const auto look_at_all = [&](const std::string& batch) {
    for (const Route& route : routes()) {
      if (std::string(route.method) != "GET") continue;
      std::string target = route.path;
      if (target.find("{alert}") != std::string::npos) continue;
      if (const auto at = target.find("{batch}"); at != std::string::npos) target.replace(at, 7, batch);
      CAPTURE(target);
      const HttpResponse response = daemon.ask("GET", target);
      CHECK(response.body.size() < 1'000'000);
      if (response.status != 200) continue;
      const json& content = api["paths"][route.path]["get"]["responses"]["200"]["content"];
      if (response.content_type != "application/json") continue;
      CHECK(schemas.check(content["application/json"]["schema"], json::parse(response.body)) ==
            std::vector<std::string>{});
    }
  };
  look_at_all("cellar");

  const json series = json::parse(daemon.ask("GET", "/v1/batches/cellar/series?points=300").body);
  CHECK(series["thinned"] == true);
  CHECK(series["time"].size() > 100);
  CHECK(series["time"].size() <= 300);
  CHECK(series["temperature"]["time"].size() > 100);
  CHECK(series["stage"][0]["stage"] == "lag");
  CHECK(series["stage"].size() >= 3);
  CHECK(series["holds"].size() >= 1);
  CHECK(std::is_sorted(series["time"].begin(), series["time"].end()));
  const auto count = [&](const char* what) {
    return std::count_if(series["marks"].begin(), series["marks"].end(),
                         [&](const json& mark) { return mark["what"] == what; });
  };
  CHECK(count("sample") == 1);
  CHECK(count("note") == 1);
  CHECK(count("pitch") == 1);
  CHECK(count("alert") >= 3);
  // The last point of the page's curve is the present state of the batch.
  const json view = json::parse(daemon.ask("GET", "/v1/batches/cellar").body)["view"];
  CHECK(series["gravity"].back().get<double>() ==
        Approx(view["gravity_sg"]["value"].get<double>()).margin(0.002));

  // Found stable: bottling is advised from the real course.
  const HttpResponse advice = daemon.ask("GET", "/v1/batches/cellar/packaging");
  REQUIRE(advice.status == 200);
  const json packaging = json::parse(advice.body)["packaging"];
  CHECK(packaging["final_gravity_sg"].get<double>() == Approx(rehearsal.truth.final_gravity).margin(0.0015));
  double warmest = 0;
  for (Time time = rehearsal.truth.end() - days(3); time < rehearsal.truth.end(); time += hours(1)) {
    warmest = std::max(warmest, rehearsal.truth.beer_at(time));
  }
  CHECK(packaging["warmest_celsius"].get<double>() == Approx(warmest).margin(0.8));
  CHECK_FALSE(packaging.contains("risk"));

  REQUIRE(daemon.ask("POST", "/v1/batches/cellar/package").status == 200);
  CHECK(daemon.ask("GET", "/v1/batches/1/packaging").status == 200);
  look_at_all("1");
  const json packaged = json::parse(daemon.ask("GET", "/v1/batches/1/series?points=300").body);
  CHECK(packaged["gravity"] == series["gravity"]);
  CHECK(packaged["marks"].back()["what"] == "packaged");
}

TEST_CASE("a hundred thousand sensors are read in bounded pages, each once, those in vessels first") {
  RunningDaemon daemon;
  constexpr int kSensors = 100'000;
  const Time heard = parse_rfc3339("2026-03-01T18:30:00Z").value();
  const auto hear = [&](const std::string& id) {
    daemon.cellar.heard({1, heard, {heard, id, Quantity::gravity, 1.048}});
  };
  for (const char* own : {"hydrometer", "probe"}) hear(own);
  for (int i = 0; i < kSensors; ++i) hear("stray-" + std::to_string(i));

  std::vector<std::string> seen;
  for (std::optional<SensorPlace> after;;) {
    const auto page = daemon.cellar.sensors(after, 1000);
    REQUIRE(page.size() <= 1000);
    if (page.empty()) break;
    for (const SensorRecord& one : page) seen.push_back(one.sensor);
    after = SensorPlace{page.back().vessel.empty(), page.back().sensor};
  }
  REQUIRE(seen.size() == kSensors + 2);
  CHECK(seen[0] == "hydrometer");
  CHECK(seen[1] == "probe");
  CHECK(std::set<std::string>(seen.begin(), seen.end()).size() == seen.size());
  CHECK(daemon.ask("GET", "/v1/sensors").body.size() < 100'000);
  CHECK(daemon.ask("GET", "/v1/sensors?limit=1000").body.size() < 1'000'000);
}
