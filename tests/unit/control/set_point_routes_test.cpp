#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "control/routes.h"
#include "fake_cellar.h"

using namespace gyle;
using namespace gyle::test;
using Catch::Contains;
using nlohmann::json;

namespace {

HttpResponse ask(const char* method, const char* target) {
  FakeCellar cellar;
  return respond({method, target, "", ""}, cellar, {});
}

}  // namespace

TEST_CASE("a set point to confirm is shown with its limits, the command, and the caution") {
  const json shown = json::parse(ask("GET", "/v1/batches/left/set-point").body);
  CHECK(shown["state"] == "awaits-yes");
  CHECK(shown["next"] == json{{"step", 1}, {"temperature_celsius", 22.0}});
  CHECK(shown["lowest_celsius"] == 10);
  CHECK(shown["highest_celsius"] == 24);
  CHECK(shown["automatic"] == false);
  CHECK_FALSE(shown.contains("due"));
  const std::string lines = shown["lines"].dump();
  CHECK_THAT(lines,
             Contains("gylekeeper set-point left --confirm") && Contains("never rely on software alone"));
  CHECK_THAT(shown["caution"].get<std::string>(), Contains("a heater must have an independent cut-out"));
}

TEST_CASE("a confirmation is for the set point that was shown; for any other it is refused") {
  CHECK(json::parse(ask("POST", "/v1/batches/left/set-point/confirm?step=1").body)["state"] == "asked");
  CHECK(ask("POST", "/v1/batches/left/set-point/confirm").status == 200);
  CHECK(ask("POST", "/v1/batches/left/set-point/confirm?step=2").status == 409);
  CHECK(ask("POST", "/v1/batches/left/set-point/confirm?step=x").status == 400);
  CHECK(ask("POST", "/v1/batches/Gone/set-point/confirm").status == 409);
  CHECK(ask("POST", "/v1/batches/nowhere/set-point/confirm").status == 404);
}

TEST_CASE("the batches in vessels are shown together, without a caution where nothing is sent") {
  const json all = json::parse(ask("GET", "/v1/set-points").body);
  REQUIRE(all["set_points"].size() == 1);  // not the packaged one, not the unreadable one
  CHECK(all["set_points"][0]["vessel"] == "left");
  CHECK_THAT(all["lines"].dump(), Contains("never rely on software alone"));
  CHECK(all["set_points"][0].contains("caution"));
  const json gone = json::parse(ask("GET", "/v1/batches/Gone/set-point").body);
  CHECK(gone["state"] == "off");
  CHECK_THAT(gone["lines"].dump(), !Contains("software"));
}
