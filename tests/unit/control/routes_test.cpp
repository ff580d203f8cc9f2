#include "control/routes.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "fake_cellar.h"
#include "ingest/message.h"

using namespace gyle;
using namespace gyle::test;
using nlohmann::json;

namespace {

const std::string kBatchToml = R"(name = "Amber no. 12"
pitched = 2026-03-01T18:30:00Z
original_gravity = 1.048
)";

HttpResponse ask(const char* method, const std::string& target, const std::string& body = "",
                 const std::string& content_type = "application/toml") {
  FakeCellar cellar;
  DisplaySettings display;
  display.time_zone = "Europe/Berlin";
  return respond({method, target, content_type, body}, cellar, display);
}

json get(const std::string& target) {
  const HttpResponse response = ask("GET", target);
  REQUIRE(response.status == 200);
  REQUIRE(response.content_type == "application/json");
  return json::parse(response.body);
}

}  // namespace

TEST_CASE("status shows the daemon and the batches in the vessels") {
  const json status = get("/v1/status");
  CHECK(status["daemon"]["now"] == "2026-03-03T12:00:00Z");
  CHECK(status["daemon"]["readings"] == 5000000000);
  CHECK_FALSE(status["daemon"].contains("last_message"));
  REQUIRE(status["batches"].size() == 2);
  const json& batch = status["batches"][0];
  CHECK(batch["id"] == 7);
  CHECK(batch["vessel"] == "left");
  CHECK(batch["lines"].size() == 3);
  CHECK(batch["lines"][0] == "left: Amber no. 12, second run, day 2");
  CHECK(batch["spec"]["plan"] == json::parse(R"([{"hold_celsius": 18.0, "until": {"progress": 0.75}},
                                                 {"hold_celsius": 22.0, "until": "final-gravity"}])"));
  CHECK(batch["view"]["gravity_sg"] == json{{"value", 1.0302}, {"low", 1.0298}, {"high", 1.0306}});
  CHECK(batch["view"]["stage"] == "active");
}

TEST_CASE("a batch that cannot be read is shown as such, has its alerts, and can be packaged") {
  const json batch = get("/v1/batches/attic");
  CHECK(batch["lines"] == json{"attic: Attic stout, day 2", "not watched: its description is unreadable",
                               "the daemon's log says what to do"});
  CHECK(batch["unreadable"] == "batch 9:1: no key");
  CHECK_FALSE(batch.contains("view"));
  CHECK(get("/v1/batches/attic/alerts")["alerts"].size() == 1);
  CHECK(ask("POST", "/v1/batches/9/package").status == 200);
  for (const char* part : {"curve", "explanation", "forecast"}) {
    const HttpResponse refused = ask("GET", std::string("/v1/batches/9/") + part);
    CHECK(refused.status == 409);
    CHECK(json::parse(refused.body)["detail"].get<std::string>().find("batch 9:1") != std::string::npos);
  }
}

TEST_CASE("one answer has all that a view of the cellar shows") {
  const json cellar = get("/v1/cellar");
  CHECK(cellar["daemon"] == get("/v1/status")["daemon"]);
  CHECK(cellar["display"] == get("/v1/display"));
  REQUIRE(cellar["batches"].size() == 2);
  const json& open = cellar["batches"][0];
  CHECK(open["batch"] == get("/v1/batches/7"));
  CHECK(open["alerts"][0]["kind"] == "step-due");
  CHECK(open["set_point"]["state"] == "awaits-yes");
  CHECK(open["recent"]["gravity"].size() == 2);
  CHECK_FALSE(open.contains("trouble"));
  CHECK(cellar["packaged"] ==
        json::parse(R"([{"id": 3, "name": "Gone", "vessel": "left", "packaged": "2026-02-20T10:00:00Z"}])"));
  REQUIRE(cellar["vessels"].size() == 3);
  CHECK(cellar["vessels"][0]["sensors"].size() == 2);
  CHECK(cellar["vessels"][1] == json{{"name", "right"}, {"sensors", json::array()}});
  CHECK(cellar["loose_sensors"].size() == 1);
  CHECK(cellar["system_alerts"].size() == 50);
}

TEST_CASE("in the cellar a batch that cannot be read hides nothing of the others") {
  const json attic = get("/v1/cellar")["batches"][1];
  CHECK(attic["batch"]["unreadable"] == "batch 9:1: no key");
  CHECK(attic["alerts"].size() == 1);
  CHECK_FALSE(attic.contains("recent"));
  CHECK(attic["trouble"] == "batch 9:1: no key");
}

TEST_CASE("a value that is not finite counts as not known") {
  const json view = get("/v1/batches/left")["view"];
  CHECK_FALSE(view.contains("rate_points_per_day"));
  CHECK_FALSE(view["forecast"].contains("final_time"));
}

TEST_CASE("the list of batches holds packaged ones too") {
  const json batches = get("/v1/batches")["batches"];
  REQUIRE(batches.size() == 3);
  CHECK(batches[0]["packaged"] == "2026-02-20T10:00:00Z");
  CHECK_FALSE(batches[1].contains("packaged"));
}

TEST_CASE("a batch is pitched from its TOML") {
  const HttpResponse response =
      ask("POST", "/v1/batches?vessel=right", kBatchToml, "application/toml; charset=utf-8");
  CHECK(response.status == 201);
  CHECK(response.headers == decltype(response.headers){{"Location", "/v1/batches/%238"}});
  const json batch = json::parse(response.body);
  CHECK(batch["spec"]["name"] == "Amber no. 12");
  CHECK(batch["spec"]["original_gravity_sg"] == 1.048);
}

TEST_CASE("a batch is packaged now or at a time") {
  CHECK(json::parse(ask("POST", "/v1/batches/left/package").body)["packaged"] == "2026-03-03T12:00:00Z");
  CHECK(json::parse(
            ask("POST", "/v1/batches/left/package?time=2026-03-03T10:00:00%2B01:00").body)["packaged"] ==
        "2026-03-03T09:00:00Z");
}

TEST_CASE("the curve comes as CSV") {
  const HttpResponse response = ask("GET", "/v1/batches/Amber%20no.%2012,%20second%20run/curve");
  CHECK(response.status == 200);
  CHECK(response.content_type.rfind("text/csv", 0) == 0);
  CHECK(std::count(response.body.begin(), response.body.end(), '\n') == 3);
}

TEST_CASE("alerts come with their local time and their text") {
  const json alerts = get("/v1/batches/7/alerts")["alerts"];
  REQUIRE(alerts.size() == 1);
  CHECK(alerts[0]["kind"] == "step-due");
  CHECK(alerts[0]["step"] == 1);
  CHECK(alerts[0]["line"] == "Mon 2 Mar 07:00  Raise it now.");
  CHECK(alerts[0]["evidence"] == json{{"gravity_sg", 1.0205}});
}

TEST_CASE("an explanation has words and the numbers behind them") {
  const json answer = get("/v1/batches/left/explanation");
  REQUIRE(answer["paragraphs"].size() == 4);
  CHECK(answer["paragraphs"][1]["sentences"][0] ==
        "Mon 2 Mar 07:00: Raise it now. (Evidence: gravity 1.0205.)");
  CHECK(answer["lines"][0] == "Where it stands");
  CHECK(answer["view"]["stage"] == "active");
  CHECK(answer["alerts"][0]["kind"] == "step-due");
  CHECK(get("/v1/batches/Gone/explanation")["paragraphs"].size() == 4);
}

TEST_CASE("a forecast answers what another hold would change") {
  const json plain = get("/v1/batches/left/forecast");
  CHECK(plain["forecast"]["ready_time"]["value"] == "2026-03-13T00:00:00Z");
  CHECK_FALSE(plain.contains("with_hold"));
  CHECK_FALSE(plain["forecast"].contains("chance_ready"));
  const json supposed = get("/v1/batches/left/forecast?hold=20+Cel&ready_by=2026-03-14T18:00:00Z");
  CHECK(supposed["with_hold"]["ready_time"]["value"] == "2026-03-12T04:00:00Z");
  CHECK(supposed["with_hold"]["chance_ready"] == 0.7);
  const auto lines = supposed["lines"].get<std::vector<std::string>>();
  // Without a time it begins now, by the daemon's clock.
  CHECK(std::count(lines.begin(), lines.end(), "Held at 20 °C from Tue 3 Mar 13:00 on:") == 1);
  CHECK(std::count(lines.begin(), lines.end(), "That is about 20 h sooner than as planned.") == 1);
}

TEST_CASE("a sample is entered and answered with what it changed") {
  const HttpResponse response =
      ask("POST", "/v1/batches/left/samples?gravity=1.0280&time=2026-03-03T12:00:00Z");
  CHECK(response.status == 201);
  const json answer = json::parse(response.body);
  CHECK(answer["gravity_sg"] == 1.028);
  CHECK(answer["before"]["gravity_sg"]["value"] == 1.0302);
  CHECK(answer["after"]["gravity_sg"]["value"] == 1.028);
  CHECK(answer["lines"][0] == "The sample is 1.0280 at 20 °C.");
}

TEST_CASE("hand samples are listed with the numbers used to correct them") {
  const json answer = get("/v1/batches/left/samples");
  CHECK(answer["samples"][0]["number"] == 812);
  CHECK(answer["samples"][1]["gravity_sg"] == 1.0312);
  CHECK(answer["lines"][0] == "812  Mon 2 Mar 08:00  1.0448");
}

TEST_CASE("a calibration is tried, stored and shown with the errors of its points") {
  const std::string points = "20 = 1.000\n\n30.0 deg = 1.0205\r\n40 = 1.040\n";
  const json tried = json::parse(
      ask("POST", "/v1/sensors/tube/calibration?dry_run=true&samples=left", points, "text/plain").body);
  CHECK(tried["stored"] == false);
  CHECK(tried["fit"]["points"].size() == 4);  // with one of the batch's samples; the other has no inclination
  const auto lines = tried["lines"].get<std::vector<std::string>>();
  CHECK(lines.front() ==
        "The sample of Tue 3 Mar 08:00 is left out: no inclination of tube is known within an hour of it.");
  CHECK(lines.back() == "Nothing is stored: it was only tried.");

  const HttpResponse response = ask("POST", "/v1/sensors/tube/calibration", points, "text/plain");
  CHECK(response.status == 201);
  const json stored = json::parse(response.body);
  CHECK(stored["stored"] == true);
  CHECK(stored["number"] == 4);
  // The least-squares line through the three: 0.002 a degree, a third of half a point above their middle.
  CHECK(stored["fit"]["coefficients"][1].get<double>() == Approx(0.002));
  CHECK(stored["fit"]["points"][1]["curve_off_points"].get<double>() == Approx(-1.0 / 3));
  CHECK(stored["fit"]["deviation_points"].get<double>() == Approx(std::sqrt(1.0 / 6)));
  const auto said = stored["lines"].get<std::vector<std::string>>();
  CHECK(said == std::vector<std::string>{
                    "A straight line through 3 points:", "  20.0° = 1.0000: the curve is 0.2 points higher",
                    "  30.0° = 1.0205: the curve is 0.3 points lower",
                    "  40.0° = 1.0400: the curve is 0.2 points higher",
                    "On the whole the points are 0.4 points off it (standard deviation).",
                    "Trusted from 18.0° to 42.0°, gravities 0.9962 to 1.0442: as far as the points go and a "
                    "tenth of that beyond, at most 3°. An inclination outside means no gravity.",
                    "Stored as calibration 4.",
                    "\"Amber no. 12, second run\" in left is judged by it from its pitch on.",
                    "The gravity that tube works out itself is not used any more."});

  const auto shown = get("/v1/sensors/tube/calibration")["lines"].get<std::vector<std::string>>();
  CHECK(shown.front() == "tube is calibrated, since Sun 1 Mar 10:00.");
  CHECK(shown[shown.size() - 2] == "Before that: Sat 28 Feb 10:00, set aside.");
  CHECK(shown.back() == "Before that: Fri 27 Feb 10:00, 3 points.");
  CHECK(get("/v1/sensors/hydrometer/calibration")["lines"][0] == "hydrometer is not calibrated.");
}

TEST_CASE("sensors and refusals are shown whatever bytes they hold") {
  CHECK(get("/v1/sensors")["sensors"][2]["sensor"] == "bad\xef\xbf\xbd");
  CHECK(get("/v1/refusals")["newest"].size() == 20);
  const json refusals = get("/v1/refusals?limit=3");
  CHECK(refusals["newest"].size() == 3);
  CHECK(refusals["counts"]["not_json"] == 12);
}

TEST_CASE("sensors come with their health and its text") {
  const json answer = get("/v1/sensors");
  REQUIRE(answer["sensors"].size() == 3);
  const json& stray = answer["sensors"][2];
  CHECK_FALSE(stray.contains("health"));
  CHECK_FALSE(stray.contains("batch"));
  const json& swimming = answer["sensors"][0];
  CHECK(swimming["batch"] == "Amber no. 12, second run");
  CHECK(swimming["health"]["battery_days"] == json{{"value", 12.0}, {"low", 9.0}, {"high", 16.0}});
  CHECK(swimming["health"]["clock_off_s"] == -18000);
  CHECK_FALSE(swimming["health"].contains("arrived_share"));
  CHECK(swimming["lines"] ==
        json{"hydrometer in left (Amber no. 12, second run): heard 60 min ago",
             "  battery 3.92 V, about 12 days left (at least 9 days) if it falls on like this",
             "  its clock is 5 h behind"});
  // For the terminal: of all of them, in order.
  CHECK(answer["lines"].size() == stray["lines"].size() + 5);
  CHECK(answer["lines"][0] == swimming["lines"][0]);
}

TEST_CASE("refusals come in words, as many as asked for") {
  const json answer = get("/v1/refusals?limit=3");
  CHECK(answer["lines"] == json{"Refused so far: not JSON (12).", "Tue 3 Mar 13:00  t (mast)", "  no JSON",
                                "  it began: ??", "  and 2 more like it since Tue 3 Mar 13:00"});
  CHECK(get("/v1/refusals?limit=0")["lines"].size() == 1);
}

// RFC 9457 sections 3 and 4.2.1; RFC 9110 section 15.5.6 for Allow.
TEST_CASE("every failure is a problem with its status and a sentence") {
  struct Row {
    const char* method;
    const char* target;
    std::string body;
    const char* content_type;
    int status;
    const char* detail;
  };
  const auto row = GENERATE_REF(values<Row>({
      {"GET", "/", "", "", 404, "nothing"},
      {"GET", "/v1", "", "", 404, "nothing"},
      {"GET", "/v2/status", "", "", 404, "nothing"},
      {"GET", "/v1/kegs", "", "", 404, "nothing"},
      {"GET", "/v1/status/more", "", "", 404, "nothing"},
      {"GET", "/v1/batches/left/smell", "", "", 404, "nothing"},
      {"GET", "/v1/batches/left/curve/more", "", "", 404, "nothing"},
      {"GET", "/v1/%zz", "", "", 400, "percent"},
      {"POST", "/v1/status", "", "", 405, "GET"},
      {"DELETE", "/v1/batches", "", "", 405, "GET, POST"},
      {"GET", "/v1/batches/left/package", "", "", 405, "POST"},
      {"POST", "/v1/batches/left/curve", "", "", 405, "GET"},
      {"GET", "/v1/batches/middle", "", "", 404, "'middle'"},
      {"GET", "/v1/refusals?limit=-1", "", "", 400, "limit"},
      {"GET", "/v1/refusals?limit=1001", "", "", 400, "limit"},
      {"GET", "/v1/refusals?limit=10x", "", "", 400, "limit"},
      {"POST", "/v1/batches", kBatchToml, "application/toml", 400, "vessel"},
      {"POST", "/v1/batches?vessel=right", kBatchToml, "text/plain", 415, "application/toml"},
      {"POST", "/v1/batches?vessel=right", "name =", "application/toml", 400, "batch:1"},
      {"POST", "/v1/batches?vessel=left", kBatchToml, "application/toml", 409, "left holds a batch"},
      {"POST", "/v1/batches/left/package?time=yesterday", "", "", 400, "RFC 3339"},
      {"POST", "/v1/batches/Gone/package", "", "", 409, "packaged already"},
      {"POST", "/v1/batches/left/explanation", "", "", 405, "GET"},
      {"GET", "/v1/batches/Gone/forecast", "", "", 409, "left its vessel"},
      {"GET", "/v1/batches/left/forecast?hold=warm", "", "", 400, "warm"},
      {"GET", "/v1/batches/left/forecast?hold=70+Cel", "", "", 422, "0 to 40"},
      {"GET", "/v1/batches/left/forecast?from=2026-03-14T18:00:00Z", "", "", 400, "hold"},
      {"GET", "/v1/batches/left/forecast?ready_by=Saturday", "", "", 400, "RFC 3339"},
      {"PUT", "/v1/batches/left/samples", "", "", 405, "GET, POST"},
      {"POST", "/v1/batches/left/samples", "", "", 400, "gravity"},
      {"GET", "/v1/sensors/nowhere/calibration", "", "", 404, "with an inclination: tube"},
      {"POST", "/v1/sensors/nowhere/calibration", "20 = 1.000", "", 404, "nowhere"},
      {"POST", "/v1/sensors/hydrometer/calibration", "20 = 1.000", "", 409, "sends no inclination"},
      {"POST", "/v1/sensors/tube/calibration", "", "", 409, "two points or more"},
      {"POST", "/v1/sensors/tube/calibration", "20 = 1.000\n57 is 10 P", "", 400, "57 is 10 P"},
      {"POST", "/v1/sensors/tube/calibration", "20 = 1.000\n95 = 10 P", "", 422, "90 degrees"},
      {"POST", "/v1/sensors/tube/calibration", "20 = 1.000\n21 = 1.200\n57 = 10 P", "", 409, "contradict"},
      {"POST", "/v1/sensors/tube/calibration?dry_run=yes", "", "", 400, "true or false"},
      {"POST", "/v1/sensors/tube/calibration?samples=nowhere", "", "", 404, "nowhere"},
      {"POST", "/v1/sensors/hydrometer/calibration/set-aside", "", "", 409, "not calibrated"},
      {"POST", "/v1/batches/left/samples?gravity=1.028&time=now", "", "", 400, "RFC 3339"},
      {"POST", "/v1/batches/left/samples?gravity=1.028&time=2026-03-04T12:00:00Z", "", "", 422, "future"},
  }));
  CAPTURE(row.method, row.target);
  const HttpResponse response = ask(row.method, row.target, row.body, row.content_type);
  CHECK(response.status == row.status);
  CHECK(response.content_type == "application/problem+json");
  const json body = json::parse(response.body);
  CHECK(body["status"] == row.status);
  CHECK(body["title"].get<std::string>().size() > 4);
  CHECK_THAT(body["detail"].get<std::string>(), Catch::Contains(row.detail));
  CHECK((row.status == 405) == (response.headers.size() == 1));
}

TEST_CASE("alerts are acknowledged, snoozed, and their delivery is shown") {
  CHECK(get("/v1/batches/7/alerts")["alerts"][0]["id"] == 12);
  CHECK(get("/v1/batches/7/alerts")["alerts"][0]["over"] == false);
  CHECK(get("/v1/alerts")["alerts"].size() == 20);
  CHECK(get("/v1/alerts?limit=3")["alerts"][0]["kind"] == "broker-lost");
  CHECK(ask("GET", "/v1/alerts?limit=none").status == 400);
  CHECK(ask("POST", "/v1/alerts/12/acknowledge").status == 200);
  CHECK(ask("POST", "/v1/alerts/99/acknowledge").status == 404);
  CHECK(ask("GET", "/v1/alerts/12/acknowledge").status == 405);
  CHECK(ask("POST", "/v1/alerts/twelve/acknowledge").status == 404);
  CHECK(ask("POST", "/v1/alerts/12/snooze?until=2026-12-01T00:00:00Z").status == 200);
  CHECK(ask("POST", "/v1/alerts/12/snooze?until=2020-12-01T00:00:00Z").status == 422);
  CHECK(ask("POST", "/v1/alerts/12/snooze").status == 400);
  CHECK(get("/v1/alerts/14/fate?channel=phone")["outcome"] == "refused");
  CHECK(ask("GET", "/v1/alerts/14/fate").status == 400);
  CHECK(ask("POST", "/v1/alerts/14/fate?channel=phone").status == 405);
}

TEST_CASE("channels are shown, tested and retried") {
  const json channels = get("/v1/channels");
  CHECK(channels["channels"][0]["waiting"] == 2);
  CHECK(channels["channels"][0]["trouble"] == "it is full");
  REQUIRE(channels["lines"].size() == 3);
  CHECK(channels["lines"][2].get<std::string>().find("--retry phone") != std::string::npos);
  const HttpResponse test = ask("POST", "/v1/channels/phone/test");
  CHECK(test.status == 202);
  CHECK(json::parse(test.body)["alert"] == 14);
  CHECK(ask("POST", "/v1/channels/pigeon/test").status == 404);
  CHECK(ask("GET", "/v1/channels/phone/test").status == 405);
  CHECK(json::parse(ask("POST", "/v1/channels/phone/retry").body)["again"] == 3);
  CHECK(ask("POST", "/v1/channels/phone/burn").status == 404);
  CHECK(ask("POST", "/v1/channels").status == 405);
}

TEST_CASE("a sensor is forgotten whatever the case of its id, unless a batch uses it") {
  FakeCellar cellar;
  const auto forget = [&](const char* target) {
    return respond({"DELETE", target, "", ""}, cellar, {}).status;
  };
  CHECK(forget("/v1/sensors/TUBE") == 200);
  CHECK(cellar.forgotten == std::vector<std::string>{"tube"});
  CHECK(forget("/v1/sensors/nowhere") == 404);
  CHECK(forget("/v1/sensors/hydrometer") == 409);
}

TEST_CASE("an addition becomes part of the description") {
  FakeCellar cellar;
  const auto post = [&](const std::string& query) {
    return respond({"POST", "/v1/batches/" + query, "", ""}, cellar, {});
  };
  const HttpResponse entered = post("Gone/additions?what=sugar&amount=500+g&time=2026-03-01T20:00:00Z");
  REQUIRE(entered.status == 201);
  const json body = json::parse(entered.body);
  REQUIRE(body["additions"].size() == 3);
  CHECK(body["additions"][0]["what"] == "sugar");
  CHECK(body["additions"][0]["kg"] == 0.5);
  const std::string line = body["lines"][0];
  CHECK(line.find("500 g of sugar: gravity up by 9.5 points") != std::string::npos);
  REQUIRE(cellar.amended.size() == 1);
  const auto& spec = std::get<BatchSpec>(cellar.amended[0].after);
  CHECK(spec.additions.size() == 3);

  // Without its volume only hops can be entered, and nothing from before the pitch.
  CHECK(post("left/additions?what=sugar&amount=500+g").status == 422);
  CHECK(post("left/additions?what=dry-hops&amount=60+g").status == 201);
  CHECK(post("Gone/additions?what=sugar&amount=500+g&time=2026-02-01T20:00:00Z").status == 422);
  CHECK(post("Gone/additions?what=honey&amount=500+g").status == 400);
  CHECK(post("Gone/additions?what=fruit&amount=2+kg").status == 422);
  CHECK(post("Gone/additions?what=water&amount=2+L&time=2026-03-02T08:00:00Z").status == 409);
  CHECK(post("Gone/additions/9?take_back=yes").status == 404);
  CHECK(post("Gone/additions/1").status == 400);
  const json left = json::parse(post("Gone/additions/1?take_back=yes").body);
  REQUIRE(left["additions"].size() == 1);
  CHECK(left["additions"][0]["what"] == "fruit");
}

TEST_CASE("a note is listed with the number by which it is amended") {
  FakeCellar cellar;
  cellar.written = {{17, at("2026-03-02T10:00:00Z"), "Yeast rinsed.\nTwice."}};
  const json lines =
      json::parse(respond({"GET", "/v1/batches/left/notes", "", ""}, cellar, {}).body)["lines"];
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].get<std::string>().substr(0, 4) == "17  ");
}

TEST_CASE("a note about the taste says so") {
  FakeCellar cellar;
  cellar.written = {{18, at("2026-04-10T19:00:00Z"), "Bread crust.", true}};
  const json listed = json::parse(respond({"GET", "/v1/batches/Gone/notes", "", ""}, cellar, {}).body);
  CHECK(listed["lines"][0].get<std::string>().find("Tasted: Bread crust.") != std::string::npos);
  CHECK(listed["notes"][0]["tasting"] == true);
  const HttpResponse written =
      respond({"POST", "/v1/batches/Gone/notes?tasting=yes", "text/plain", "Thin."}, cellar, {});
  CHECK(json::parse(written.body)["note"]["tasting"] == true);
  CHECK(respond({"POST", "/v1/batches/Gone/notes?tasting=maybe", "text/plain", "Thin."}, cellar, {}).status ==
        400);
}

TEST_CASE("what a packaged batch was filled into is entered, listed with care, and taken back") {
  FakeCellar cellar;
  cellar.filled.clear();
  const auto ask_cellar = [&](const char* method, const char* target) {
    return respond({method, target, "", ""}, cellar, {});
  };
  const HttpResponse entered = ask_cellar("POST", "/v1/batches/Gone/fills?container=bottles&count=22");
  REQUIRE(entered.status == 201);
  const json fills = json::parse(entered.body);
  CHECK(fills["litres"] == 11.0);
  CHECK(fills["fills"][0]["gas"] == "priming");
  CHECK(fills["fills"][0]["time"] == "2026-02-20T10:00:00Z");  // of the packaging
  CHECK(fills["fills"][0]["carbonated"]["value"] == "2026-03-06T10:00:00Z");
  CHECK(entered.body.find("Keep bottles in a closed box.") != std::string::npos);
  CHECK(ask_cellar("GET", "/v1/batches/Gone/fills").body.find("closed box") == std::string::npos);
  CHECK(ask_cellar("POST", "/v1/batches/left/fills?container=bottles&count=22").status == 409);
  for (const char* wrong : {"", "?container=cask&count=2", "?container=bottles", "?container=bottles&count=0",
                            "?container=keg&count=1", "?container=bottles&count=2&gas=air",
                            "?container=bottles&count=2&storage=warm"}) {
    CAPTURE(wrong);
    CHECK(ask_cellar("POST", (std::string("/v1/batches/Gone/fills") + wrong).c_str()).status == 400);
  }
  CHECK(ask_cellar("POST", "/v1/batches/Gone/fills/1").status == 400);
  CHECK(ask_cellar("POST", "/v1/batches/Gone/fills/x?take_back=yes").status == 404);
  CHECK(ask_cellar("POST", "/v1/batches/Gone/fills/1?take_back=yes").status == 201);
  CHECK(ask_cellar("POST", "/v1/batches/Gone/fills/1?take_back=yes").status == 404);
}

TEST_CASE("a recipe is read as the batch it makes, and nothing is stored") {
  const std::string recipe = R"(name = "Amber no. 12"
volume = "12 L"
[[grain]]
name = "pale malt"
mass = "2.6 kg"
extract = "80 %"
[yeast]
name = "own culture"
[[plan]]
hold = "17 C"
until = { progress = 0.75 }
)";
  const HttpResponse answer = ask("POST", "/v1/recipes/batch", recipe);
  REQUIRE(answer.status == 200);
  const json made = json::parse(answer.body);
  CHECK(made["spec"]["name"] == "Amber no. 12");
  CHECK(made["spec"]["volume_l"] == 12);
  CHECK(made["spec"]["pitched"] == "2026-03-03T12:00:00Z");
  CHECK(made["spec"]["plan"] == json::parse(R"([{"hold_celsius": 17.0, "until": {"progress": 0.75}}])"));
  // Not all of the extract comes into the fermenter: less than 2.6 kg * 0.8 in 12 L, more than half of it.
  CHECK(made["spec"]["original_gravity_sg"].get<double>() > 1.033);
  CHECK(made["spec"]["original_gravity_sg"].get<double>() < 1.066);
  CHECK(made["attenuation_given"] == false);
  const auto given = ask("POST", "/v1/recipes/batch", recipe + "[kettle]\nvolume = \"24 L\"\n");
  CHECK(given.status == 200);
  const auto wrong = ask("POST", "/v1/recipes/batch", "name = \"Amber no. 12\"\n");
  CHECK(wrong.status == 400);
  CHECK(json::parse(wrong.body)["detail"].get<std::string>().starts_with("recipe:"));
  CHECK(ask("POST", "/v1/recipes/batch", recipe, "text/plain").status == 415);
}

TEST_CASE("a message gets a proposal of how to read it") {
  const auto propose = [](const std::string& query, const std::string& message) {
    return ask("POST", "/v1/sources/proposal" + query, message, "text/plain");
  };
  const HttpResponse answer = propose("?topic=cellar/left", R"({"gravity": 1.048, "temp_c": 18.2})");
  REQUIRE(answer.status == 200);
  const auto block = json::parse(answer.body)["block"].get<std::string>();
  CHECK(block.find("[[source]]") != std::string::npos);
  CHECK(block.find("/gravity") != std::string::npos);
  CHECK(propose("?topic=cellar/left", "hello").status == 422);
  CHECK(propose("", "1.048").status == 400);
  CHECK(propose("?topic=cellar/%23", "1.048").status == 400);
  CHECK(propose("?topic=cellar/left", std::string(kLargestPayload + 1, '1')).status == 413);
}
