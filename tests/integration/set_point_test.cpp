#include <fmt/format.h>

#include "base/rfc3339.h"
#include "watched_cellar.h"

using namespace gyle;
using namespace gyle::test;
using Catch::Contains;

namespace {

const Time kPitched = parse_rfc3339("2026-03-01T18:30:00Z").value();

// A probe's message so long after the pitch, the beer being so warm.
std::string probe(Duration after, double celsius) {
  return fmt::format(R"([{{"bn":"probe:","bt":{:.0f},"n":"beer_temperature","u":"Cel","v":{:.2f}}}])",
                     in_seconds((kPitched + after).time_since_epoch()), celsius);
}

// A cellar whose thermostat listens on target/left, and what it has heard.
struct Heated : WatchedCellar {
  explicit Heated(const std::string& when) {
    broker.start();
    configure(
        "[vessel.set_point]\ntopic = \"target/left\"\nlowest = \"10 Cel\"\nhighest = \"24 Cel\"\n"
        "body = '{\"target\":{value}}'\nwhen = \"" +
        when + "\"\n");
    more_arguments = {"--thermostats-follow"};
    thermostat = std::make_unique<Process>(
        std::vector<std::string>{"mosquitto_sub", "-h", "127.0.0.1", "-p", std::to_string(broker.port()),
                                 "-q", "1", "-t", "target/#", "-v"},
        dir / "heard");
    REQUIRE(eventually([this] { return broker.log().find("target/# (QoS 1)") != std::string::npos; }));
    start_and_connect();
    REQUIRE(ask({"pitch", "--vessel", "left", "--name", "Amber", "--pitched", "2026-03-01T18:30:00Z",
                 "--hold", "18 Cel for 2 d", "--hold", "22 Cel for 4 d", "--hold", "2 Cel for 3 d"})
                .exit == 0);
  }
  // Hourly messages of a beer that stays as it is, from one hour up to another.
  void pass(int from_h, int to_h) const {
    std::vector<std::string> messages;
    for (int hour = from_h; hour < to_h; ++hour)
      messages.push_back(probe(hours(hour), 18.0 + 0.02 * (hour % 5)));
    broker.publish("gylekeeper/rehearsal/probe", messages);
  }
  std::size_t heard(const std::string& what) const { return count_of(what, content(dir / "heard")); }
  bool says(const std::vector<std::string>& verb, const std::string& what) const {
    return ask(verb).text.find(what) != std::string::npos;
  }

  std::unique_ptr<Process> thermostat;
};

const std::string kWarm = "target/left {\"target\":22}\n";

}  // namespace

TEST_CASE("a thermostat is asked automatically, again and again, and never outside of its limits") {
  Heated cellar("automatic");
  cellar.pass(1, 40);
  REQUIRE(eventually([&] { return cellar.kept() == 39; }));
  CHECK(cellar.heard("target/") == 0);
  // The first hold takes two days.
  cellar.pass(40, 52);
  REQUIRE(eventually([&] { return cellar.heard(kWarm) >= 1; }));
  const std::size_t first = cellar.heard(kWarm);
  cellar.pass(52, 53);  // an hour later
  REQUIRE(eventually([&] { return cellar.heard(kWarm) > first; }));
  CHECK(cellar.says({"alerts", "left"}, "Its thermostat is asked for 22 °C now"));
  CHECK(cellar.says({"set-point"}, "The thermostat is asked for 22 °C since"));
  // The beer does not follow.
  cellar.pass(53, 96);
  REQUIRE(eventually([&] { return cellar.says({"alerts", "left"}, "`gylekeeper set-point left` shows"); }));
  // A restart asks for it again; the cold hold is not asked for.
  const std::size_t before = cellar.heard(kWarm);
  cellar.kill();
  cellar.start_and_connect();
  cellar.pass(96, 97);
  REQUIRE(eventually([&] { return cellar.heard(kWarm) > before; }));
  cellar.pass(97, 150);
  REQUIRE(eventually([&] { return cellar.says({"set-point", "left"}, "the plan wants 2 °C"); }));
  CHECK(cellar.heard("target/") == cellar.heard(kWarm));
  CHECK(cellar.says({"alerts", "left"}, "Its thermostat is not asked for 2 °C"));
  CHECK(cellar.ask({"set-point", "left", "--confirm"}).exit == 1);
}

TEST_CASE("a thermostat is asked after a confirmation") {
  Heated cellar("confirmed");
  cellar.pass(1, 52);
  REQUIRE(eventually([&] {
    return cellar.says({"set-point", "left"}, "22 °C is next, and waits for your yes");
  }));
  CHECK(cellar.heard("target/") == 0);
  CHECK(cellar.ask({"set-point", "--confirm"}).exit == 2);
  const auto yes = cellar.ask({"set-point", "left", "--confirm"});
  CHECK(yes.exit == 0);
  CHECK_THAT(yes.text, Contains("never rely on software alone"));
  CHECK(eventually([&] { return cellar.heard(kWarm) == 1; }));
  CHECK(cellar.ask({"set-point", "left", "--confirm"}).exit == 1);
}

TEST_CASE("a rehearsal asks no thermostat unless it is meant to") {
  WatchedCellar cellar;
  cellar.broker.start();
  cellar.configure(
      "[vessel.set_point]\ntopic = \"target/left\"\nlowest = \"10 Cel\"\nhighest = \"24 Cel\"\n"
      "when = \"automatic\"\n");
  cellar.start_and_connect();
  REQUIRE(cellar
              .ask({"pitch", "--vessel", "left", "--name", "Amber", "--pitched", "2026-03-01T18:30:00Z",
                    "--hold", "18 Cel for 2 d", "--hold", "22 Cel for 4 d"})
              .exit == 0);
  cellar.broker.publish("gylekeeper/rehearsal/probe", {probe(hours(10), 18), probe(hours(60), 18)});
  REQUIRE(eventually([&] { return cellar.kept() == 2; }));
  CHECK_THAT(cellar.ask({"set-point"}).text, Contains("No thermostat"));
  CHECK(cellar.broker.log().find("'target/left'") == std::string::npos);
}
