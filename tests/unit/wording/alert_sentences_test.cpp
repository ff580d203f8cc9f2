#include "wording/alert_sentences.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

BatchSpec amber_no_12() {
  BatchSpec batch;
  batch.name = "Amber no. 12, second run";
  batch.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  batch.original_gravity = SpecificGravity::unchecked(1.048);
  batch.yeast.temperature_low = Celsius{16};
  batch.yeast.temperature_high = Celsius{22};
  batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}};
  return batch;
}

Decision decision(AlertKind kind, Decision::State state) {
  Decision d;
  d.time = parse_rfc3339("2026-03-05T07:15:00Z").value();
  d.kind = kind;
  d.state = state;
  d.sensor = "hydrometer-1";
  if (kind == AlertKind::step_due || kind == AlertKind::step_not_held) d.step = 1;
  const double due = 1772694000;  // 2026-03-05T07:00:00Z
  d.evidence = {{"original_gravity_sg", 1.048},
                {"gravity_sg", 1.0204},
                {"fall_points", 2.1},
                {"start_time", due},
                {"hours_since_pitch", 72},
                {"temperature_celsius", 24.3},
                {"attenuation", 0.58},
                {"due_time", due},
                {"wanted_celsius", 22},
                {"hours_since_due", 26},
                {"low_celsius", 16},
                {"high_celsius", 22},
                {"hours_outside", 5},
                {"expected_final_sg", 1.0115},
                {"still_hours", 40},
                {"temperature_fall_celsius", 3.5},
                {"doubtful", 1},
                {"final_gravity_sg", 1.0116},
                {"final_gravity_low_sg", 1.0112},
                {"final_gravity_high_sg", 1.0121},
                {"change_points", 0.2},
                {"window_hours", 48},
                {"confidence", 0.95},
                {"expected_high", 0.79},
                {"silent_hours", 6},
                {"usual_interval_minutes", 15},
                {"frozen_hours", 50},
                {"value", 1.0204},
                {"refused_readings", 12},
                {"battery_volt", 3.1}};
  return d;
}

// Up to the first full stop that ends a sentence; decimal points do not.
std::string first_sentence(const std::string& text) {
  const auto end = text.find(". ");
  return end == std::string::npos ? text : text.substr(0, end + 1);
}

}  // namespace

TEST_CASE("every alert is a complete sentence for every way of showing numbers") {
  const auto kind = static_cast<AlertKind>(GENERATE(range(0, 12)));
  const auto state = GENERATE(Decision::State::raised, Decision::State::withdrawn);
  DisplaySettings display;
  display.gravity = GENERATE(DisplaySettings::Gravity::specific_gravity, DisplaySettings::Gravity::plato);
  display.temperature = display.gravity == DisplaySettings::Gravity::plato
                            ? DisplaySettings::Temperature::fahrenheit
                            : DisplaySettings::Temperature::celsius;
  const std::string text = alert_sentence(decision(kind, state), amber_no_12(), display);
  CAPTURE(name(kind), name(state), text);
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("Amber no.\u00a012, second run") != std::string::npos);  // wording/first_sentence.h
  CHECK(text.back() == '.');
  CHECK(first_sentence(text).size() <= 160);
  if (display.gravity == DisplaySettings::Gravity::plato) {
    CHECK(text.find("1.0") == std::string::npos);
    CHECK(text.find("°C") == std::string::npos);
  }
}

TEST_CASE("a step says which way the temperature goes") {
  auto batch = amber_no_12();
  auto due = decision(AlertKind::step_due, Decision::State::raised);
  CHECK(alert_sentence(due, batch, {}).find("let it warm to 22 °C") != std::string::npos);
  batch.plan[1].temperature = Celsius{2};
  CHECK(alert_sentence(due, batch, {}).find("cool it to 2 °C") != std::string::npos);
}

TEST_CASE("advice to heat names the cut-out, advice to cool the vacuum") {
  auto batch = amber_no_12();
  const auto sentence = [&](AlertKind kind, double celsius) {
    Decision d = decision(kind, Decision::State::raised);
    for (auto& [name, value] : d.evidence) {
      if (name == "temperature_celsius") value = celsius;
    }
    return alert_sentence(d, batch, {});
  };
  const auto says = [](const std::string& text, const char* what) {
    CAPTURE(text);
    CHECK(text.find(what) != std::string::npos);
  };
  for (const AlertKind kind : {AlertKind::slow_start, AlertKind::step_due, AlertKind::step_not_held,
                               AlertKind::temperature_out_of_range, AlertKind::stuck}) {
    says(sentence(kind, 12), "heater that has its own cut-out");
  }
  batch.plan[1].temperature = Celsius{2};
  for (const AlertKind kind :
       {AlertKind::step_due, AlertKind::step_not_held, AlertKind::temperature_out_of_range}) {
    says(sentence(kind, 30), "closed vessel can collapse");
  }
}

TEST_CASE("the risk of bursting bottles is named where it matters") {
  const auto batch = amber_no_12();
  CHECK(
      alert_sentence(decision(AlertKind::stuck, Decision::State::raised), batch, {}).find("Do not bottle") !=
      std::string::npos);
  CHECK(alert_sentence(decision(AlertKind::final_gravity_stable, Decision::State::withdrawn), batch, {})
            .find("Do not package") != std::string::npos);
}

TEST_CASE("no sentence shows an impossible value") {
  Decision due = decision(AlertKind::step_due, Decision::State::raised);
  for (auto& [name, value] : due.evidence) {
    if (name == "attenuation") value = -0.02;
  }
  CHECK(alert_sentence(due, amber_no_12(), {}).find("not yet fallen") != std::string::npos);
  Decision silent = decision(AlertKind::sensor_silent, Decision::State::raised);
  for (auto& [name, value] : silent.evidence) {
    if (name == "usual_interval_minutes") value = 0.1;
  }
  CHECK(alert_sentence(silent, amber_no_12(), {}).find("reports every few seconds") != std::string::npos);
}

TEST_CASE("a number that the evidence lacks is never made up") {
  Decision bare = decision(AlertKind::sensor_silent, Decision::State::raised);
  bare.evidence = {{"silent_hours", 6}};
  const std::string text = alert_sentence(bare, amber_no_12(), {});
  CAPTURE(text);
  CHECK(text.find("usually") == std::string::npos);
  CHECK(text.find("nan") == std::string::npos);
}
