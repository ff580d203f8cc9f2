// The next batch is expected to attenuate like earlier batches with the same yeast.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "app/daemon_cellar.h"
#include "base/rfc3339.h"
#include "clock/message_clock.h"
#include "config/batch_file.h"
#include "control/routes.h"
#include "support/made_up_readings.h"
#include "support/temp_dir.h"

using namespace gyle;
using nlohmann::json;

namespace {

struct BrewHouse {
  test::TempDir dir;
  Database database = std::move(Database::open(dir.path() / "j.db").value());
  Journal journal{database};
  const AlertRouting routing{{{"log", {}, false, false, false, LogSettings{}}}};
  MessageClock clock;
  Watch watch{database, routing, [] {}};
  Announcer announcer{database, routing, [] {}};
  DaemonCellar cellar{watch, announcer, routing, database, clock, Time{}, "mqtt://localhost"};
  std::string last_band;

  BrewHouse() { REQUIRE(watch.configure({{"left", {"hydrometer", "probe"}}}, {}).has_value()); }

  json ask(const char* method, const std::string& target, const std::string& body = "", int status = 200) {
    const HttpResponse response = respond({method, target, "application/toml", body}, cellar, {});
    CAPTURE(target, response.body);
    REQUIRE(response.status == status);
    return json::parse(response.body);
  }

  // Pitches, and returns the yeast of the answer.
  json pitch(const std::string& name, Time pitched, const std::string& yeast) {
    clock.observe(pitched);  // the day has come
    const json answer = ask("POST", "/v1/batches?vessel=left",
                            "name = \"" + name + "\"\npitched = " + format_rfc3339(pitched) +
                                "\noriginal_gravity = 1.050\n[yeast]\n" + yeast,
                            201);
    last_band = answer.value("band", "");
    return answer["spec"]["yeast"];
  }

  // A whole fermentation of three days, or its beginning, and its packaging.
  void ferment(const test::MadeUp& made_up, double share = 1) {
    const auto events = made_up.events();
    for (std::size_t i = 0; i < static_cast<std::size_t>(share * static_cast<double>(events.size())); ++i) {
      const Reading& reading = std::get<Reading>(events[i]);
      Message message;
      message.received = reading.time;
      clock.observe(reading.time);
      const auto rows = journal.record(message, {{reading}, {}});
      for (const JournalRow& row : rows.value()) watch.take(row);
    }
    ask("POST", "/v1/batches/left/package");
  }
};

}  // namespace

TEST_CASE("an attenuation band that was not given is learnt from finished batches with the same yeast") {
  BrewHouse house;
  test::MadeUp batch;
  const json first = house.pitch("First", batch.pitched, "name = \"House ale\"\n");
  CHECK(first["attenuation_low"] == 0.70);
  CHECK_FALSE(first.contains("attenuation_batches"));
  CHECK_THAT(house.last_band, Catch::Contains("as of most yeasts"));
  house.ferment(batch);

  // Ended early: says nothing about the yeast.
  batch.pitched += days(30);
  house.pitch("Poured away", batch.pitched, "name = \"House ale\"\n");
  house.ferment(batch, 0.2);

  const json record = house.ask("GET", "/v1/yeasts/HOUSE%20%20ale");
  CHECK(record["yeast"]["batches_counted"] == 1);
  CHECK(record["yeast"]["batches_not_counted"] == 1);
  CHECK(record["batches"][0]["attenuation"].get<double>() == Approx(0.76).margin(0.013));  // the truth
  CHECK(record["batches"][0]["temperature_celsius"].get<double>() > 17.9);
  CHECK(record["batches"][0]["temperature_celsius"].get<double>() < 21.1);

  batch.pitched += days(30);
  const json next = house.pitch("Second", batch.pitched, "name = \" house  ALE\"\n");
  CHECK(next["attenuation_batches"] == 1);
  CHECK(next["attenuation_low"] == record["yeast"]["expected_attenuation_low"]);
  CHECK(next["attenuation_high"] == record["yeast"]["expected_attenuation_high"]);
  CHECK(next["attenuation_low"].get<double>() > 0.70);
  CHECK_THAT(house.last_band, Catch::Contains("from 1 batch with this yeast"));
  const json explained = house.ask("GET", "/v1/batches/left/explanation");
  CHECK_THAT(explained["lines"].dump(), Catch::Contains("from 1 batch with this yeast"));
  // It is the batch's own from then on, whatever the yeast does later.
  CHECK(parse_batch(BatchStore(house.database).open().value().front().spec, "b")
            .value()
            .yeast.attenuation_low == next["attenuation_low"].get<double>());
  house.ferment(batch);

  batch.pitched += days(30);
  const json given = house.pitch("Third", batch.pitched, "name = \"House ale\"\nattenuation = [0.6, 0.9]\n");
  CHECK(given["attenuation_low"] == 0.6);
  CHECK(house.last_band.empty());
  house.ferment(batch);
  CHECK(house.ask("GET", "/v1/yeasts")["yeasts"][0]["batches_counted"] == 3);
  CHECK(house.ask("GET", "/v1/yeasts/other", "", 404)["detail"].get<std::string>().find("House ale") !=
        std::string::npos);

  // The table of all yeasts, and a search in it.
  const auto found = [&](const std::string& query) {
    std::string names;
    const json list = house.ask("GET", "/v1/batches" + query);
    for (const json& one : list["batches"]) names += one["name"].get<std::string>() + " ";
    CHECK(list["lines"].size() == list["batches"].size() + 1);
    return names;
  };
  CHECK(found("") == "First Poured away Second Third ");
  CHECK(found("?name=POURED%20%20a") == "Poured away ");
  CHECK(found("?yeast=house&limit=2") == "First Poured away ");
  CHECK(found("?yeast=lager") == "");
  CHECK(found("?since=" + format_rfc3339(test::MadeUp{}.pitched + days(1)) +
              "&until=" + format_rfc3339(test::MadeUp{}.pitched + days(60))) == "Poured away ");
  house.ask("GET", "/v1/batches?since=yesterday", "", 400);
}
