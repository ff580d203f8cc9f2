#include "wording/packaging_lines.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

PackagingQuestion amber() {
  PackagingQuestion question{.original_gravity = SpecificGravity::unchecked(1.048),
                             .final_gravity = SpecificGravity::unchecked(1.012),
                             .warmest = Celsius{20},
                             .volume_l = 19};
  question.finished = Finished::measured;
  return question;
}

std::string lines(const PackagingQuestion& question, const DisplaySettings& display = {}) {
  std::string all;
  for (const std::string& line : packaging_lines(plan_packaging(question).value(), display))
    all += line + "\n";
  return all;
}

DisplaySettings american() {
  DisplaySettings display;
  display.temperature = DisplaySettings::Temperature::fahrenheit;
  display.volume = DisplaySettings::Volume::us_gallons;
  return display;
}

bool holds(const std::string& text, const std::string& what) { return text.find(what) != std::string::npos; }

}  // namespace

// The numbers are those of abv_examples.csv, priming_examples.csv and bottle_pressure.csv.
TEST_CASE("a finished beer's numbers are shown with their units, their spread and what was assumed") {
  const std::string text = lines(amber());
  for (const char* what :
       {"4.8 % by volume, 3.7 % by weight",
        "4.6 to 4.8 % by volume: his quotient 4.7, the UK's duty table 4.6, 131.25 times the fall 4.7",
        "75 % apparent (74 % by degrees Plato)", "61 % real", "4.7 % real extract", "kJ (", "1169/2011",
        "0.86 volumes (1.7 g/L)", "stopped making gas, 20 °C",
        "For 2.4 volumes: 112 g of sucrose (table sugar) in 19.0 L (5.9 g/L); 3.0 g in each bottle of 500 "
        "mL, 38 "
        "bottles.",
        "0.514 g of gas a gram; a volume of gas is 1.977 g/L", "2.4 bar (34 psi) at 25 °C",
        "2.9 bar (42 psi) at 30 °C", "Take care:", "Heat is what bursts bottles: keep them below 25 °C."}) {
    CAPTURE(text, what);
    CHECK(holds(text, what));
  }
  CHECK_FALSE(holds(text, "Only your word"));
}

TEST_CASE("a brewer who reads gallons gets ounces, and grams for the scale") {
  PackagingQuestion question = amber();
  question.bottle_l = 0.35488;
  const std::string text = lines(question, american());
  for (const char* what : {"3.96 oz (112 g) of sucrose", "5.02 gal", "oz/gal", "bottle of 12.0 fl oz",
                           "kcal in 12.0 fl oz", "34 psi (2.4 bar) at 77 °F", "stopped making gas, 68 °F"}) {
    CAPTURE(text, what);
    CHECK(holds(text, what));
  }
}

TEST_CASE("a keg's pressure comes in bar and psi, from both fits") {
  PackagingQuestion question = amber();
  question.container = Container::keg;
  question.serving = Celsius{4};
  const std::string text = lines(question);
  CHECK(holds(text,
              "For 2.4 volumes at 4 °C: 0.74 bar (10.7 psi) on the gauge, by the chart; by Henry's law 0.72 "
              "bar"));
  CHECK(holds(text, "relief valve"));
  CHECK(holds(text, "pressure regulator"));
  CHECK(holds(text, "Vent it before you open it."));
  CHECK_FALSE(holds(text, "sugar"));
  question.volumes = 1;
  CHECK(holds(lines(question), "no gas is needed"));
}

TEST_CASE("without a volume the dose is given by the litre; with gas enough none is") {
  PackagingQuestion question = amber();
  question.volume_l.reset();
  question.sugar = Sugar::dry_malt_extract;
  const std::string text = lines(question);
  CHECK(holds(text, " g/L of dry malt extract"));
  CHECK(holds(text, "95 % of the malt is extract and 65 % of that ferments"));
  CHECK(holds(
      text,
      "this is 1.8 times the weight of sucrose; common tables, from memory, give about 1.5 times, 8.9 g/L."));
  question.volumes = 1;
  question.warmest = Celsius{-1};
  CHECK(holds(lines(question), "no sugar"));
  CHECK(holds(lines(question), "Counted as 0 °C"));
}

TEST_CASE("the risk of unfinished beer is shown in points, volumes and pressure") {
  PackagingQuestion question = amber();
  question.finished = Finished::not_seen;
  question.to_go = PointsToGo{{3}, {5}};
  std::string text = lines(question);
  CHECK(holds(text, "3 points, 5 points at most"));
  CHECK(holds(text, "1.5 volumes more, 2.5 at most"));
  CHECK(holds(text, "Ordinary bottles are for 3 volumes, never more than 3.5: these can burst."));
  question.container = Container::keg;
  text = lines(question);
  CHECK(holds(text, "Less dangerous than bottles, not harmless."));
  question.to_go.reset();
  CHECK(holds(lines(question), "How much is left is not known."));
}

TEST_CASE("a batch that is not stable is refused with the time when it is expected to be") {
  BatchSpec spec;
  spec.name = "Amber no. 12";
  BatchView view;
  view.gravity = Interval{1.0302, 1.0298, 1.0306};
  const Time now = parse_rfc3339("2026-03-13T12:00:00Z").value();
  const Time ready = parse_rfc3339("2026-03-13T00:00:00Z").value();
  const std::string text =
      too_early_sentence(spec, view, TimeInterval{ready, ready - days(1), ready + days(1)}, {}, now);
  CHECK(text ==
        "\"Amber no. 12\" must not be packaged yet: its gravity, 1.0302, has not been found stable. What is "
        "left "
        "ferments on in the bottle, which can burst. It is expected to be ready between Thu 12 Mar and Sat "
        "14 Mar. "
        "With override you get the advice, with what is risked.");
  view.stage = Stage::stuck;
  CHECK(holds(too_early_sentence(spec, view, {}, {}, now),
              "stopped early. When it will be ready cannot be said yet."));
  CHECK(holds(left_early_sentence(view, {}, now), "1.0302, has not been found stable"));
  view.final_gravity_since = parse_rfc3339("2026-03-12T18:30:00Z").value();
  CHECK(left_early_sentence(view, {}, now) == "");
  CHECK(packaging_facts(spec, view, amber(), *view.final_gravity_since - hours(48), {}, now) ==
        "Amber no. 12: from 1.0480 to 1.0120, found stable Thu 12 Mar 18:30. For its gas the warmest since "
        "Tue 10 "
        "Mar 18:30 counts.");
}

TEST_CASE("a stable batch whose hydrometer fell silent is not called ready") {
  BatchSpec spec;
  spec.name = "Amber no. 12";
  BatchView view;
  view.gravity = Interval{1.0116, 1.0112, 1.0121};
  view.final_gravity_since = parse_rfc3339("2025-12-28T18:30:00Z").value();
  view.known = parse_rfc3339("2025-12-29T18:20:00Z").value();
  view.current_until = *view.known + hours(6);
  const Time soon = *view.known + hours(5), late = *view.known + days(4);
  CHECK(ready_to_package(view, soon));
  CHECK(left_early_sentence(view, {}, soon) == "");
  CHECK_FALSE(ready_to_package(view, late));
  CHECK(
      too_early_sentence(spec, view, {}, {}, late) ==
      "Nothing is known of \"Amber no. 12\" since Mon 29 Dec 2025 18:20, when its gravity was 1.0116, "
      "stable "
      "then. Measure a sample first: what is left ferments on in the bottle, which can burst. With override "
      "you get the advice, with what is risked.");
  CHECK(
      holds(left_early_sentence(view, {}, late), "1.0116, has not been known since Mon 29 Dec 2025 18:20."));
  CHECK(holds(packaging_facts(spec, view, amber(), *view.known, {}, late),
              "found stable Sun 28 Dec 2025 18:30, not known since Mon 29 Dec 2025 18:20."));
}

// Common practice and local law, not ours to fix: 0.5 % over a working day is 29 CFR 1910.1000 and Directive
// 2006/15/EC.
TEST_CASE("the limit of carbon dioxide in the air is left to local rules") {
  CHECK(holds(lines(amber()),
              "Many countries allow about 0.5 % in the air of a working day; follow your local rules."));
  CHECK(holds(pitch_caution(), "Leave the gas a way out"));
}
