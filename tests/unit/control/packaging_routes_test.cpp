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

TEST_CASE("who goes on all the same is told what is risked") {
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

TEST_CASE("a batch that has left its vessel is answered as it was then") {
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

TEST_CASE("what cannot be is refused; what is not there is not found") {
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=20+Cel&final_gravity=1.0422", 422), "too little"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=20+Cel&final_gravity=1.050", 422),
              "wrong way round"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?warmest=300+Cel", 422), "warmest"));
  CHECK(holds(refused("/v1/batches/Gone/packaging?volumes=-1", 422), "volumes"));
  CHECK(holds(refused("/v1/batches/attic/packaging", 409), "cannot be read"));
  refused("/v1/batches/nowhere/packaging", 404);
}

TEST_CASE("a batch that leaves its vessel before it is stable is recorded, with a caution") {
  const json left = json::parse(ask("/v1/batches/left/package", "POST").body);
  CHECK(left["packaged"] == "2026-03-03T12:00:00Z");
  CHECK(holds(left["caution"], "had not been found stable"));
}
