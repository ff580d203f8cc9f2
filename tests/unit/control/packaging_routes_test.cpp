#include "control/packaging_routes.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "control/routes.h"
#include "fake_cellar.h"

using namespace gyle;
using nlohmann::json;

namespace {

HttpResponse ask(const std::string& target, const char* method = "GET") {
  test::FakeCellar cellar;
  return respond({.method = method, .target = target, .content_type = "", .body = ""}, cellar, {});
}

std::string refused(const std::string& target, int status) {
  const HttpResponse answer = ask(target);
  CHECK(answer.status == status);
  return json::parse(answer.body).value("detail", "");
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

TEST_CASE("bottling is not advised while gravity is not stable") {
  const std::string said = refused("/v1/batches/left/packaging", 409);
  CHECK(holds(said, "must not be packaged yet: its gravity, 1.0302,"));
  CHECK(holds(said, "can burst"));
  CHECK(holds(said, "between Thu 12 Mar and Sat 14 Mar"));
  CHECK(holds(said, "override"));
  CHECK(holds(refused("/v1/batches/left/packaging?kind=keg", 409), "must not be packaged yet"));
  CHECK(refused("/v1/batches/left/packaging?override=perhaps", 400) == "override is true or false");
}

TEST_CASE("an override shows the risk") {
  const json answer = json::parse(ask("/v1/batches/left/packaging?override=true").body);
  const json& packaging = answer["packaging"];
  // 1.048 at 75 % of the points is 1.012, at 80 % 1.0096; it is at 1.0302.
  CHECK(packaging["risk"]["points_to_go"].get<double>() == Approx(18.2));
  CHECK(packaging["risk"]["points_to_go_most"].get<double>() == Approx(20.6));
  CHECK(packaging["risk"]["extra_volumes"].get<double>() == Approx(9.1));
  CHECK(packaging["risk"]["gauge_bar"].get<double>() > 10);
  CHECK(packaging["cautions"][0] == "unfinished");
  CHECK(packaging["warmest_celsius"] == 18.2);  // as it was measured
  CHECK(holds(answer["lines"][0], "not found stable"));
}

TEST_CASE("a batch that has left its vessel is answered as of its packaging") {
  const json answer = json::parse(ask("/v1/batches/Gone/packaging?warmest=20+Cel&final_gravity=1.012").body);
  const json& packaging = answer["packaging"];
  CHECK(packaging["volume_litres"] == 20);
  CHECK(packaging["alcohol"]["by_volume"].get<double>() ==
        Approx(0.0478).margin(0.0001));  // abv_examples.csv
  CHECK(packaging["alcohol"]["by_volume_low"] < packaging["alcohol"]["by_volume_high"]);
  CHECK(packaging["priming"]["grams"].get<double>() ==
        Approx(112.4 * 20 / 19).margin(0.1));  // priming_examples.csv
  CHECK_FALSE(packaging.contains("risk"));
  CHECK_FALSE(packaging.contains("keg"));
  // No temperature was measured near its end, and its gravity was 1.0302.
  CHECK(holds(refused("/v1/batches/Gone/packaging?final_gravity=1.012", 400), "warmest"));
}

TEST_CASE("impossible values are refused; an unknown batch is not found") {
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=20+Cel&final_gravity=1.0422", 422), "too little"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=20+Cel&final_gravity=1.050", 422),
              "wrong way round"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=300+Cel", 422), "warmest"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?volumes=-1", 422), "volumes"));
  CHECK(holds(refused("/v1/batches/attic/packaging", 409), "cannot be read"));
  refused("/v1/batches/nowhere/packaging", 404);
}

TEST_CASE("the caution is shown before packaging, too") {
  CHECK(holds(json::parse(ask("/v1/batches/left").body)["packaging_caution"],
              "1.0302, has not been found stable"));
  CHECK_FALSE(json::parse(ask("/v1/batches/Gone").body).contains("packaging_caution"));
}

TEST_CASE("a stable batch whose hydrometer is silent is not called ready, but on the brewer's word") {
  test::FakeCellar cellar;
  const auto answer = [&](const char* target) {
    return respond({.method = "GET", .target = target, .content_type = "", .body = ""}, cellar, {});
  };
  BatchView& view = cellar.open_view();
  view.final_gravity_since = test::at("2026-02-26T12:00:00Z");
  view.known = test::at("2026-02-27T12:00:00Z");
  view.current_until = test::at("2026-03-03T12:00:00Z");
  const char* kAsked = "/v1/batches/left/packaging?warmest=20+Cel&final_gravity=1.012";
  CHECK(answer(kAsked).status == 200);
  CHECK_FALSE(json::parse(answer("/v1/batches/left").body).contains("packaging_caution"));
  view.current_until = test::at("2026-02-27T18:00:00Z");
  CHECK(answer(kAsked).status == 409);
  CHECK(holds(json::parse(answer(kAsked).body)["detail"], "since Fri 27 Feb 12:00"));
  CHECK(holds(json::parse(answer("/v1/batches/left").body)["packaging_caution"], "has not been known since"));
  const json all_the_same =
      json::parse(answer("/v1/batches/left/packaging?override=true&warmest=20+Cel&final_gravity=1.012").body);
  CHECK(all_the_same["packaging"]["cautions"][0] == "unfinished");
  const json forecast = json::parse(answer("/v1/batches/left/forecast").body);
  CHECK(holds(forecast["lines"][0], "has not been known since Fri 27 Feb 12:00"));
  CHECK_FALSE(forecast["forecast"].contains("ready_time"));
  CHECK_FALSE(forecast["forecast"].contains("final_time"));
}

TEST_CASE("nothing is pitched or packaged in the future") {
  const auto post = [](const std::string& target, const std::string& body) {
    test::FakeCellar cellar;
    return respond({.method = "POST", .target = target, .content_type = "application/toml", .body = body},
                   cellar, {});
  };
  const auto pitch = [&](const char* time) {
    return post("/v1/batches?vessel=right", std::string("name = \"Amber\"\npitched = ") + time + "\n");
  };
  const HttpResponse ahead = pitch("2030-01-01T12:00:00Z");
  CHECK(ahead.status == 422);
  CHECK(holds(ahead.body, "a pitch at Tue 1 Jan 2030 12:00 lies in the future; it is Tue 3 Mar 12:00 now"));
  CHECK(pitch("2026-03-03T12:06:00Z").status == 422);
  const HttpResponse fine = pitch("2026-03-03T12:04:00Z");  // clocks differ a little
  CHECK(fine.status == 201);
  CHECK(holds(json::parse(fine.body)["caution"], "Leave the gas a way out"));
  CHECK(post("/v1/batches/left/package?time=2030-01-01T12:00:00Z", "").status == 422);
}

TEST_CASE("a batch that leaves its vessel before it is stable is recorded, with a caution") {
  const json left = json::parse(ask("/v1/batches/left/package", "POST").body);
  CHECK(left["packaged"] == "2026-03-03T12:00:00Z");
  CHECK(holds(left["caution"], "has not been found stable"));
}

using Query = std::map<std::string, std::string, std::less<>>;

TEST_CASE("values of the query take precedence over what is known of the beer") {
  KnownBeer known;
  known.original_gravity = SpecificGravity::unchecked(1.050);
  known.final_gravity = SpecificGravity::unchecked(1.010);
  known.warmest = Celsius{22};
  known.volume_l = 20;
  known.finished = Finished::measured;
  const PackagingQuestion plain = packaging_question({}, known).value();
  CHECK(plain.original_gravity.value() == 1.050);
  CHECK(plain.warmest == Celsius{22});
  CHECK(plain.volume_l == 20);
  CHECK(plain.finished == Finished::measured);
  CHECK(plain.container == Container::bottles);
  const PackagingQuestion said = packaging_question({{"original_gravity", "12 P"},
                                                     {"final_gravity", "1.012"},
                                                     {"warmest", "68 F"},
                                                     {"volumes", "4.7 g/L"},
                                                     {"kind", "keg"},
                                                     {"sugar", "dry-malt-extract"},
                                                     {"volume", "5 gal"},
                                                     {"bottle", "330 mL"},
                                                     {"serving", "4 Cel"},
                                                     {"storage", "86 F"}},
                                                    known)
                                     .value();
  CHECK(said.original_gravity.value() == Approx(1.04837).margin(0.0001));  // plato_sg.csv
  CHECK(said.final_gravity.value() == 1.012);
  CHECK(said.warmest->value == Approx(20));
  CHECK(said.volumes == Approx(4.7 / 1.977));
  CHECK(said.container == Container::keg);
  CHECK(said.sugar == Sugar::dry_malt_extract);
  CHECK(*said.volume_l == Approx(18.927));
  CHECK(said.bottle_l == Approx(0.33));
  CHECK(said.serving == Celsius{4});
  CHECK(said.storage.value == Approx(30));
}

TEST_CASE("an error names the value that is wrong or missing") {
  struct Row {
    const char* name;
    Query query;
    Errc code;
    const char* said;
  };
  const Row rows[] = {
      {"no original", {{"final_gravity", "1.012"}}, Errc::missing, "original gravity"},
      {"no final", {{"original_gravity", "1.048"}}, Errc::missing, "final gravity"},
      {"points", {{"original_gravity", "1048"}}, Errc::out_of_range, "original_gravity: "},
      {"words", {{"warmest", "warm"}}, Errc::malformed, "warmest: "},
      {"another sugar", {{"sugar", "honey"}}, Errc::malformed, "dry-malt-extract"},
      {"another container", {{"kind", "bucket"}}, Errc::malformed, "bottles or keg"},
      {"no volume", {{"volume", "-5 L"}}, Errc::out_of_range, "volume: "},
      {"300 degrees", {{"storage", "300 Cel"}}, Errc::out_of_range, "storage: "},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    KnownBeer known;
    if (row.query.count("original_gravity") == 0 && row.query.count("final_gravity") == 0) {
      known.original_gravity = SpecificGravity::unchecked(1.050);
      known.final_gravity = SpecificGravity::unchecked(1.010);
    }
    const auto question = packaging_question(row.query, known);
    REQUIRE_FALSE(question);
    CHECK(question.error().code == row.code);
    CAPTURE(question.error().message);
    CHECK(question.error().message.find(row.said) != std::string::npos);
  }
}
