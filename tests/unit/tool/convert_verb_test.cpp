// `gylekeeper convert`, as a shell would call it.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "command_line.h"
#include "printed.h"
#include "verbs.h"

using namespace gyle;
using Catch::Matchers::StartsWith;

namespace {

struct Ran {
  Exit exit;
  std::string out;
};

Ran run(std::vector<std::string> words) {
  words.insert(words.begin(), {"gylekeeper", "convert"});
  std::vector<const char*> arguments;
  for (const std::string& word : words) arguments.push_back(word.c_str());
  const std::vector<Verb> verbs = all_verbs();
  Ran ran{Exit::ok, ""};
  ran.out = test::printed([&] {
    const auto parsed = parse_command_line(verbs, static_cast<int>(arguments.size()), arguments.data());
    const auto* invocation = std::get_if<Invocation>(&parsed);
    ran.exit = invocation ? invocation->verb->run(invocation->common) : std::get<Exit>(parsed);
  });
  return ran;
}

double json_of(std::vector<std::string> words, const char* key) {
  words.emplace_back("--json");
  const Ran ran = run(words);
  REQUIRE(ran.exit == Exit::ok);
  return nlohmann::json::parse(ran.out).at(key).get<double>();
}

}  // namespace

// 12 degP: 1.0484 (tests/reference/plato_sg.csv); a gallon is 3.785411784 L, a pound 0.45359237 kg (NIST).
TEST_CASE("a quantity is shown in all units that brewers use") {
  CHECK_THAT(run({"12 P"}).out, StartsWith("1.0484 SG = 12.00 °P = 48.4 points"));
  CHECK(run({"152 F"}).out == "66.7 °C = 152.0 °F\n");
  CHECK(run({"3 gal"}).out == "11.356 L = 3.000 gal (US)\n");
  CHECK(run({"4 lb"}).out == "1.814 kg = 4.000 lb = 64.00 oz\n");
  CHECK(json_of({"66 C"}, "temperature_fahrenheit") == Approx(150.8));
  CHECK(json_of({"1.0484"}, "gravity_plato") == Approx(12.0).margin(0.02).epsilon(0));
}

// Water of 30 degC is lighter than at 20 degC by 998.204 / 995.646 (Kell, tests/reference/water_density.csv).
TEST_CASE("a hydrometer's reading is corrected for the temperature") {
  CHECK(json_of({"1.000", "--temperature", "30 C"}, "gravity_sg") ==
        Approx(998.204 / 995.646).margin(1e-4).epsilon(0));
  CHECK(json_of({"1.048", "--temperature", "20 C"}, "gravity_sg") == Approx(1.048));
  CHECK(json_of({"1.000", "--temperature", "60 F", "--calibrated-at", "60 F"}, "gravity_sg") ==
        Approx(1.000));
}

// 12.48 / 1.04 = 12 degP; the cubic for beer is tested in units.
TEST_CASE("a refractometer's reading is corrected for wort and alcohol") {
  CHECK(json_of({"12.48", "--refractometer"}, "gravity_plato") == Approx(12.0).margin(0.01).epsilon(0));
  const double beer = json_of({"6.2", "--refractometer", "--original", "1.048"}, "gravity_sg");
  CHECK(beer > 1.005);
  CHECK(beer < 1.015);
}

TEST_CASE("what cannot be converted is refused with what is expected") {
  for (const char* wrong : {"12", "1.048 kg/L", "beer", "-5 L", ""}) {
    CAPTURE(wrong);
    CHECK(run({wrong}).exit == Exit::wrong_use);
  }
  CHECK(run({"6.2 P x", "--refractometer"}).exit == Exit::wrong_use);
  CHECK(run({"1.048", "--temperature", "90 C"}).exit == Exit::wrong_use);
}
