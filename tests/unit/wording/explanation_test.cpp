#include "wording/explanation.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using Sentences = std::vector<std::string>;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

struct Amber {
  BatchSpec batch;
  BatchView view;
  std::vector<ReportedDecision> alerts;

  Amber() {
    batch.name = "Amber no. 12";
    batch.yeast.attenuation_given = true;
    batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
    view.stage = Stage::active;
    view.gravity = Interval{1.0302, 1.0298, 1.0306};
    view.original_gravity = 1.048;
    view.offset = PointsInterval{{2.1}, {1.7}, {2.5}};
    view.reasons = {{Finding::falling, {{"rate_points_per_day", -8.3}, {"attenuation", 0.371}}}};
    SensorHealth health{};
    health.sensor = "hydrometer";
    health.last_heard = at("2026-03-03T11:48:00Z");
    health.usual_interval = minutes(15);
    health.battery_v = 3.94;
    view.sensors = {health};
    Decision started{};
    started.time = at("2026-03-02T06:00:00Z");
    started.evidence = {{"gravity_sg", 1.0465}, {"fall_points", 1.5}};
    alerts = {{started, "It ferments."}};
  }
  std::vector<Paragraph> explained(const DisplaySettings& display = {}) const {
    return explanation(batch, view, alerts, display, at("2026-03-03T12:00:00Z"));
  }
};

}  // namespace

TEST_CASE("an explanation goes from the stage to the sensors") {
  const auto paragraphs = Amber().explained();
  REQUIRE(paragraphs.size() == 4);
  CHECK(
      paragraphs[0].sentences ==
      Sentences{"Amber no. 12 is fermenting: gravity 1.0302, between 1.0298 and 1.0306 with 80 % certainty.",
                "Gravity is falling (-8.3 points a day, 37 % attenuated)."});
  CHECK(paragraphs[1].sentences ==
        Sentences{"Mon 2 Mar 06:00: It ferments. (Evidence: gravity 1.0465, fallen by 1.5 points.)"});
  // Three quarters of the middle of 70 to 80 %: 56 %, at 1 + 0.048 (1 - 0.5625).
  CHECK(
      paragraphs[2].sentences ==
      Sentences{
          "Hold 1 of the plan, at 18 °C, is over when apparent attenuation reaches 56 %, which is at 1.021.",
          "Final gravity counts as stable when it has changed by no more than 1 point over 48 h and no "
          "more than that is still to come."});
  CHECK(
      paragraphs[3].sentences ==
      Sentences{
          "The hydrometer is taken to read 2.1 points too high, give or take 0.4 points; that is corrected.",
          "A hand sample makes this surer (gylekeeper sample).",
          "hydrometer: last heard 12 min ago, usually every 15 min, battery at 3.94 V, in order."});
}

TEST_CASE("the explanation uses the brewer's units and clock") {
  DisplaySettings display;
  display.gravity = DisplaySettings::Gravity::plato;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.time_zone = "America/New_York";
  const auto paragraphs = Amber().explained(display);
  CHECK(paragraphs[1].sentences[0].find("Mon 2 Mar 01:00") == 0);
  for (const Paragraph& paragraph : paragraphs) {
    for (const std::string& sentence : paragraph.sentences) {
      CAPTURE(sentence);
      CHECK(sentence.find("°C") == std::string::npos);
      CHECK(sentence.find("points") == std::string::npos);
      CHECK(sentence.find("1.0") == std::string::npos);
    }
  }
}

TEST_CASE("every stage says what would change it") {
  Amber amber;
  amber.view.stage = Stage::stuck;
  CHECK(amber.explained()[2].sentences[0].find("A fall of more than 1.5 points") == 0);
  amber.view.stage = Stage::finished;
  amber.view.holds_over = 2;
  CHECK(amber.explained()[2].sentences[0].find("Nothing but the packaging") == 0);
  amber.view.stage = Stage::lag;
  CHECK(amber.explained()[2].sentences[0].find("A fall of gravity") == 0);
}

TEST_CASE("a batch without readings is explained too") {
  const auto paragraphs = explanation({}, {}, {}, {}, {});
  CHECK(paragraphs[1].sentences == Sentences{"Nothing so far."});
  CHECK(paragraphs[3].sentences == Sentences{"No sensor of this batch has been heard."});
}

TEST_CASE("the source of the expected attenuation is shown when the brewer has not given it") {
  Amber amber;
  const auto last = [&] { return amber.explained()[2].sentences.back(); };
  amber.batch.yeast.attenuation_given = false;
  CHECK(last() ==
        "An attenuation of 70 to 80 % is expected, as of most yeasts: none was given, nor a yeast.");
  amber.batch.yeast.name = "House ale";
  CHECK(last() ==
        "An attenuation of 70 to 80 % is expected, as of most yeasts: none was given, and no batch with this "
        "yeast had come to its end before.");
  amber.batch.yeast.attenuation_low = 0.736;
  amber.batch.yeast.attenuation_high = 0.791;
  amber.batch.yeast.attenuation_batches = 3;
  CHECK(last() == "An attenuation of 74 to 79 % is expected, from 3 batches with this yeast.");
  amber.view.stage = Stage::finished;
  CHECK(last().find("attenuation") == std::string::npos);
}

TEST_CASE("an outdated view is explained as of its time, without a forecast") {
  Amber amber;
  amber.view.known = at("2025-12-30T18:20:00Z");
  amber.view.current_until = at("2025-12-31T00:20:00Z");
  amber.view.forecast.final_gravity = Interval{1.0115, 1.0102, 1.0131};
  amber.view.forecast.final_time =
      TimeInterval{at("2025-12-31T16:53:20Z"), at("2025-12-30T13:06:40Z"), at("2026-01-01T20:40:00Z")};
  const auto paragraphs = amber.explained();
  CHECK(paragraphs[0].sentences[0].find("As of Tue 30 Dec 2025 18:20, Amber no. 12 is fermenting") == 0);
  CHECK(paragraphs[2].sentences[0].find("Its gravity has not been known since Tue 30 Dec 2025 18:20") == 0);
  for (const std::string& sentence : paragraphs[2].sentences) {
    CAPTURE(sentence);
    CHECK(sentence.find("expected to come") == std::string::npos);
  }
  amber.view.stage = Stage::finished;
  amber.view.holds_over = 2;
  CHECK(amber.explained()[2].sentences[1].find("A new reading or a sample, before it is packaged.") == 0);
}

TEST_CASE("a sensor with a low battery is not in order, and one that sends all the time is not every 0 min") {
  Amber amber;
  amber.view.sensors[0].battery_low = true;
  amber.view.sensors[0].usual_interval = seconds(2);
  CHECK(
      amber.explained()[3].sentences.back() ==
      "hydrometer: last heard 12 min ago, usually every few seconds, battery at 3.94 V: charge or change its "
      "battery.");
  amber.view.sensors[0].silent = true;
  CHECK(amber.explained()[3].sentences.back() ==
        "hydrometer: last heard 12 min ago, usually every few seconds, battery at 3.94 V, silent: it is not "
        "used; "
        "charge or change its battery.");
}
