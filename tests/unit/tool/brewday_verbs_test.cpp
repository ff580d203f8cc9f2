// The verbs of the brew day as a shell would call them, and what a recipe hands to `pitch`.

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "command_line.h"
#include "printed.h"
#include "served_socket.h"
#include "support/places.h"
#include "support/read_by.h"
#include "verbs.h"

using namespace gyle;
namespace fs = std::filesystem;

namespace {

const std::string kExample = gyle::test::source_dir() + "/config/recipe.toml";

struct Ran {
  Exit exit;
  std::string out;
};

// Runs a whole command line. An empty configuration keeps this machine's out of it.
Ran run(std::vector<std::string> words) {
  const test::TempDir dir;
  std::ofstream(dir / "c.toml") << "[display]\ntime_zone = \"Europe/Zurich\"\n";
  words.insert(words.begin(), "gylekeeper");
  words.insert(words.end(), {"--config", (dir / "c.toml").string()});
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

nlohmann::json json_of(std::vector<std::string> words) {
  words.emplace_back("--json");
  const Ran ran = run(std::move(words));
  CHECK(ran.exit == Exit::ok);
  return nlohmann::json::parse(ran.out);
}

// "1.048" of a gravity and the like, as an option takes it.
std::string text(double number) { return nlohmann::json(number).dump(); }

std::string read(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

TEST_CASE("brewday shows the plan, its assumptions, and the day with its times") {
  const Ran ran = run({"brewday", kExample, "--start", "2026-03-07 09:00"});
  CHECK(ran.exit == Exit::ok);
  for (const char* wanted :
       {"Amber no. 12: 12.0 L, begun Sat 7 Mar 09:00", "Strike", "with 2.80 kg of grain in",
        "\n  09:00 Heat the water.", "Care: Scalds in a second", "Add 15 g Alder hops", "Pitch.",
        "5.5 L in an hour"}) {
    CAPTURE(wanted, ran.out);
    CHECK(holds(ran.out, wanted));
  }
  CHECK(holds(run({"brewday", kExample}).out, "\n  +0:00 Heat the water."));
}

// The example's hops and malt, worked by hand from the formulas (brewday/bitterness.h, beer_colour.h): 14 L after the
// boil, a wort of about 1.039 as it boils. 15 g of 6.5 % for 50 min: 69.6 mg/L of which 0.244 come over; 18 g of 4 %
// for 5 min: 51.4 mg/L of which 0.051 do. 2.2 kg of 2.8, 0.5 kg of 2.4 and 0.1 kg of 338 degrees Lovibond.
TEST_CASE("brewday shows bitterness and colour with another formula beside, and the bill") {
  const nlohmann::json plan = json_of({"brewday", kExample});
  CHECK(plan["bitterness_ibu"].get<double>() == Approx(19.7).margin(0.3).epsilon(0));
  CHECK(plan["bitterness_rager_ibu"].get<double>() > plan["bitterness_ibu"].get<double>());
  CHECK(plan["colour_ebc"].get<double>() == Approx(26.4).margin(0.3).epsilon(0));
  CHECK(plan.contains("colour_mosher_ebc"));
  CHECK(plan["grain"].size() == 3);
  CHECK(plan["grain"][2]["colour_ebc"] == 900);
  CHECK(plan["hops"][0]["alpha_fraction"].get<double>() == Approx(0.065));
  CHECK_FALSE(plan.contains("sparge_litres"));
  const std::string out = run({"brewday", kExample}).out;
  for (const char* wanted : {"by Tinseth; ", "by Morey, ", "pale malt, 79 % of the bill, 6 EBC",
                             "Alder hops, 6.5 % alpha acids, 50 min before the end of the boil"}) {
    CAPTURE(wanted, out);
    CHECK(holds(out, wanted));
  }
}

TEST_CASE("brewday keeps water from the mash for a sparge") {
  const test::TempDir dir;
  std::ofstream(dir / "r.toml") << read(kExample) << "\n[sparge]\nwater = \"4 L\"\n";
  const nlohmann::json without = json_of({"brewday", kExample});
  const nlohmann::json with = json_of({"brewday", (dir / "r.toml").string()});
  CHECK(with["sparge_litres"] == 4);
  CHECK(with["water_cold_litres"] == without["water_cold_litres"]);
  CHECK(with["mash_volume_litres"] < without["mash_volume_litres"]);
  CHECK(with["strike_celsius"] > without["strike_celsius"]);  // less water for the same grain
  const std::string out = run({"brewday", (dir / "r.toml").string()}).out;
  CHECK(holds(out, "Heat 4.0 L for the sparge to 76 °C"));
  CHECK(holds(out, "pour the sparge water through it"));
  CHECK(holds(out, "Sparge water scalds"));
  CHECK_FALSE(holds(run({"brewday", kExample}).out, "Sparge"));
}

TEST_CASE("brewday writes a sheet and a calendar") {
  const test::TempDir dir;
  const Ran ran = run({"brewday", kExample, "--start", "2026-03-07 09:00", "--sheet",
                       (dir / "day.html").string(), "--calendar", (dir / "day.ics").string()});
  CHECK(ran.exit == Exit::ok);
  test::read_by("read_report.py", read(dir / "day.html"));
  // Nine o'clock in Zurich is eight in UTC.
  CHECK(holds(test::read_by("read_calendar.py", read(dir / "day.ics")),
              "|2026-03-07T08:00:00+00:00|Heat the water"));
  CHECK(run({"brewday", kExample, "--calendar", (dir / "x.ics").string()}).exit == Exit::wrong_use);
  CHECK(run({"brewday", kExample, "--sheet", (dir / "none" / "x.html").string()}).exit == Exit::failed);
}

TEST_CASE("what brewday plans, measured as planned, needs no correction and has the planned efficiency") {
  const nlohmann::json plan = json_of({"brewday", kExample});
  CHECK(plan["kettle_fits"] == true);
  CHECK(plan["steps"].size() > 10);
  const std::string gravity = text(plan["preboil_gravity_sg"]);
  const std::string hot = text(plan["preboil_hot_litres"]) + " L";
  const nlohmann::json preboil =
      json_of({"preboil", kExample, "--volume", hot, "--gravity", gravity, "--temperature", "100 Cel"});
  CHECK_FALSE(preboil.contains("boil_longer"));
  CHECK_FALSE(preboil.contains("dilute"));
  CHECK(preboil["accept"]["original_gravity_sg"].get<double>() ==
        Approx(plan["original_gravity_sg"].get<double>()).margin(0.0003).epsilon(0));
  const nlohmann::json efficiency =
      json_of({"efficiency", kExample, "--volume", text(plan["batch_litres"]) + " L", "--gravity",
               text(plan["original_gravity_sg"]), "--preboil-volume", hot, "--preboil-gravity", gravity,
               "--preboil-temperature", "100 Cel"});
  CHECK(efficiency["mash_efficiency_fraction"].get<double>() == Approx(0.72).margin(0.001).epsilon(0));
  CHECK(efficiency["preboil_mash_efficiency_fraction"].get<double>() ==
        Approx(0.72).margin(0.004).epsilon(0));
  CHECK(efficiency["evaporation_litres_per_hour"].get<double>() == Approx(5.5).margin(0.15).epsilon(0));
}

TEST_CASE("preboil says how to correct a wort") {
  const nlohmann::json weak = json_of({"preboil", kExample, "--volume", "19 L", "--gravity", "1.031"});
  CHECK(weak["boil_longer"]["more_minutes"].get<double>() > 0);
  CHECK(weak["boil_longer"]["original_gravity_sg"].get<double>() ==
        Approx(weak["planned_original_gravity_sg"].get<double>()).margin(1e-6).epsilon(0));
  const nlohmann::json strong = json_of({"preboil", kExample, "--volume", "19 L", "--gravity", "1.041"});
  CHECK(strong["dilute"]["water_litres"].get<double>() > 0);
  // A sample at 40 degC reads some six points low (tests/reference/hydrometer_temperature.csv).
  const nlohmann::json warm = json_of(
      {"preboil", kExample, "--volume", "19 L", "--gravity", "1.031", "--gravity-temperature", "40 Cel"});
  CHECK(warm["preboil_gravity_sg"].get<double>() == Approx(1.0372).margin(0.001).epsilon(0));
  const Ran words = run({"preboil", kExample, "--volume", "19 L", "--gravity", "1.031"});
  CHECK(holds(words.out, "longer"));
  CHECK(holds(words.out, "Or accept it"));
}

TEST_CASE("impossible input is wrong use, and nothing is written") {
  const test::TempDir dir;
  std::ofstream(dir / "bad.toml") << "name = \"a\"\nvolume = \"-12 L\"\n";
  std::ofstream(dir / "strong.toml")
      << "name = \"a\"\nvolume = \"12 L\"\n[[grain]]\nname = \"m\"\nmass = \"60 kg\"\nextract = \"80 %\"\n";
  for (const char* file : {"bad.toml", "strong.toml", "none.toml"}) {
    CAPTURE(file);
    CHECK(run({"brewday", (dir / file).string(), "--sheet", (dir / "s.html").string()}).exit ==
          Exit::wrong_use);
  }
  CHECK_FALSE(fs::exists(dir / "s.html"));
  CHECK(run({"brewday", kExample, "--start", "teatime"}).exit == Exit::wrong_use);
  const auto row = GENERATE(values<std::vector<std::string>>({
      {"preboil", kExample, "--volume", "-19 L", "--gravity", "1.040"},
      {"preboil", kExample, "--volume", "19", "--gravity", "1.040"},
      {"preboil", kExample, "--volume", "19 L", "--gravity", "1040"},
      {"preboil", kExample, "--volume", "19 L", "--gravity", "1.000"},
      {"preboil", kExample, "--volume", "40 L", "--gravity", "1.060"},  // more than the grain has
      {"preboil", kExample, "--volume", "3 L", "--gravity", "1.040"},   // would boil away
      {"preboil", kExample, "--volume", "19 L", "--gravity", "1.035", "--temperature", "300 Cel"},
      {"preboil", kExample, "--volume", "19 L", "--gravity", "1.035", "--gravity-temperature", "70 Cel"},
      {"efficiency", kExample, "--volume", "0 L", "--gravity", "1.043"},
      {"efficiency", kExample, "--volume", "30 L", "--gravity", "1.060"},
      {"efficiency", kExample, "--volume", "12 L", "--gravity", "1.043", "--preboil-volume", "19 L"},
      {"efficiency", kExample, "--volume", "12 L", "--gravity", "1.043", "--preboil-volume", "10 L",
       "--preboil-gravity", "1.035"},
  }));
  CAPTURE(row);
  const Ran ran = run(row);
  CHECK(ran.exit == Exit::wrong_use);
  CHECK(ran.out.empty());
}

TEST_CASE("pitch takes over from the recipe, and measured values replace expected ones") {
  const test::TempDir dir;
  std::string asked;
  const test::Daemon daemon(dir / "s", [&](const HttpRequest& request) {
    if (request.method == "POST") asked = request.body;
    return HttpResponse{.body = R"({"id": 3, "name": "Amber no. 12", "vessel": "left",
                                    "pitched": "2026-03-07T12:00:00Z", "lines": []})"};
  });
  const std::vector<std::string> pitch{
      "pitch",    "--vessel",          "left", "--recipe", kExample, "--pitched", "2026-03-07T12:00:00Z",
      "--socket", (dir / "s").string()};
  const Ran expected = run(pitch);
  CHECK(expected.exit == Exit::ok);
  CHECK(holds(expected.out, "amend 3 --original-gravity"));
  for (const char* wanted : {"name = \"Amber no. 12\"", "volume = \"12 L\"", "name = \"own culture\"",
                             "original_gravity = 1.04", "hold = \"17 Cel\"", "until = { progress = 0.75 }",
                             "until = \"final-gravity\"", "attenuation = [0.71, 0.78]"}) {
    CAPTURE(wanted, asked);
    CHECK(holds(asked, wanted));
  }
  std::vector<std::string> measured = pitch;
  measured.insert(measured.end(), {"--original-gravity", "1.045", "--volume", "11 L"});
  const Ran ran = run(measured);
  CHECK(ran.exit == Exit::ok);
  CHECK_FALSE(holds(ran.out, "amend"));
  CHECK(holds(asked, "original_gravity = 1.045"));
  CHECK(holds(asked, "volume = \"11 L\""));
}
