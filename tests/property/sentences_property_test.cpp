// What whole batches say, over every rehearsed scenario: no sentence holds a number that cannot be meant.
#include <catch2/catch.hpp>
#include <regex>

#include "base/rfc3339.h"
#include "fermentation/tracker.h"
#include "rehearsal/rehearsal.h"
#include "wording/alert_sentences.h"
#include "wording/explanation.h"

using namespace gyle;

namespace {

// What of a sentence no brewer may read; empty: nothing.
std::string nonsense(const std::string& sentence) {
  static const std::regex never(
      "added \\(by -|\\b0 % (sure|certain)|chance (that [a-z ]+ )?(0|100) %|(^|[^0-9.])100 % "
      "(sure|certain)|-[0-9.]+ % "
      "attenuated|every 0 |-0( |\\.0+ )(point|%|h|min|°)|\\b(nan|inf)\\b");
  std::smatch found;
  return std::regex_search(sentence, found, never) ? found.str() : "";
}

}  // namespace

TEST_CASE("nonsense is recognised where it is") {
  const std::string sentence = GENERATE(
      "Sugar was added (by -1.1 points).", "What separates it from stable: chance 0 %.",
      "chance that more than the tolerance is still to fall 0 %", "chance 100 % of it.", "It is 100 % sure.",
      "Gravity is falling (-8.3 points a day, -2 % attenuated).", "last heard 3 s ago, usually every 0 min.");
  CAPTURE(sentence);
  CHECK_FALSE(nonsense(sentence).empty());
}

TEST_CASE("sense is left alone") {
  const std::string sentence = GENERATE(
      "Sugar was added (by 1.1 points).", "chance that more than the tolerance is still to fall 10 %",
      "more than 99 % sure", "-8.3 points a day, 37 % attenuated", "usually every 10 min",
      "gravity 1.0100, between 1.0090 and 1.0110 with 80 % certainty");
  CAPTURE(sentence);
  CHECK(nonsense(sentence).empty());
}

TEST_CASE("no alert and no explanation of a whole batch holds nonsense") {
  const std::string scenario = GENERATE(from_range(scenario_names()));
  CAPTURE(scenario);
  RehearsalOptions options;
  options.scenario = scenario;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(30);
  const Rehearsal rehearsal = rehearse(options).value();
  DisplaySettings american;
  american.gravity = DisplaySettings::Gravity::plato;
  american.temperature = DisplaySettings::Temperature::fahrenheit;
  american.volume = DisplaySettings::Volume::us_gallons;
  american.time_zone = "America/New_York";
  std::size_t sentences = 0;
  for (const DisplaySettings& display : {DisplaySettings{}, american}) {
    Tracker tracker(rehearsal.spec);
    std::vector<ReportedDecision> alerts;
    const auto check = [&](const std::string& sentence) {
      ++sentences;
      CAPTURE(sentence);
      CHECK(nonsense(sentence).empty());
    };
    int count = 0;
    for (const RehearsedMessage& message : rehearsal.messages) {
      for (const Reading& reading : message.readings) {
        const Outcome outcome = tracker.advance(reading);
        for (const Decision& decision : outcome.decisions) {
          alerts.push_back({decision, alert_sentence(decision, rehearsal.spec, display)});
          check(alerts.back().text);
        }
        if (outcome.decisions.empty() && ++count % 20 != 0) continue;
        // Once at the reading, and once after its hydrometer has been silent for days.
        for (const Duration later : {Duration(0), Duration(days(4))}) {
          for (const Paragraph& paragraph :
               explanation(rehearsal.spec, tracker.view(), alerts, display, reading.time + later)) {
            for (const std::string& sentence : paragraph.sentences) check(sentence);
          }
        }
      }
    }
  }
  CHECK(sentences > 500);
}
