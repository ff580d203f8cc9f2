// Every sentence that is sent, read aloud and kept in alert_sentences.golden.txt. When a sentence is meant to
// change: GYLE_UPDATE_GOLDEN=1 wording_test "the sentences are those of the golden file", then read the
// difference aloud before it is committed.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "base/rfc3339.h"
#include "support/places.h"
#include "wording/alert_sentences.h"
#include "wording/alert_title.h"
#include "wording/first_sentence.h"
#include "wording/fitted_text.h"
#include "wording/system_alert_sentences.h"

using namespace gyle;

namespace {

const std::string kGolden = gyle::test::source_dir() + "/tests/unit/wording/alert_sentences.golden.txt";
constexpr auto kRaised = Decision::State::raised;
constexpr auto kWithdrawn = Decision::State::withdrawn;

Time at(const char* text) { return parse_rfc3339(text).value(); }
double epoch(const char* text) { return in_seconds(at(text).time_since_epoch()); }

struct Case {
  std::string what;  // the variant of the evidence
  Decision decision;
  std::vector<Hold> plan = {{Celsius{17}, UntilProgress{0.75}}, {Celsius{20}, UntilFinalGravity{}}};
};

BatchSpec batch_of(const Case& one, const std::string& name) {
  BatchSpec batch;
  batch.name = name;
  batch.pitched = at("2026-03-01T18:30:00Z");
  batch.original_gravity = SpecificGravity::unchecked(1.048);
  batch.yeast.temperature_low = Celsius{16};
  batch.yeast.temperature_high = Celsius{22};
  batch.plan = one.plan;
  return batch;
}

Case made(const char* what, AlertKind kind, Decision::State state, Evidence evidence, int step = 0) {
  Case c{what, {at("2026-03-05T07:15:00Z"), kind, state, 1, std::nullopt, "", std::move(evidence)}};
  if (step > 0) c.decision.step = step;
  if (kind >= AlertKind::sensor_silent) c.decision.sensor = "hydrometer-1";
  return c;
}

std::vector<Case> cases() {
  using K = AlertKind;
  const double seven = epoch("2026-03-05T07:00:00Z");
  const std::vector<Hold> colder = {{Celsius{17}, UntilFinalGravity{}}, {Celsius{2}, UntilDays{5}}};
  const std::vector<Hold> colder_early = {{Celsius{17}, UntilProgress{0.75}},
                                          {Celsius{12}, UntilFinalGravity{}}};
  const std::vector<Hold> same = {{Celsius{17}, UntilDays{3}}, {Celsius{17}, UntilFinalGravity{}}};
  const auto planned = [](Case c, std::vector<Hold> plan) {
    c.plan = std::move(plan);
    return c;
  };
  const Evidence due{{"gravity_sg", 1.0204}, {"attenuation", 0.58}, {"due_time", seven}};
  return {
      made("", K::fermentation_started, kRaised,
           {{"original_gravity_sg", 1.048},
            {"gravity_sg", 1.0459},
            {"fall_points", 2.1},
            {"start_time", seven}}),
      made("", K::fermentation_started, kWithdrawn, {{"gravity_sg", 1.048}}),
      made("re-evaluated", K::fermentation_started, kWithdrawn, {{"corrected", 1}}),
      made("beer warm enough", K::slow_start, kRaised,
           {{"hours_since_pitch", 72}, {"gravity_sg", 1.0478}, {"temperature_celsius", 17.4}}),
      made("beer too cold", K::slow_start, kRaised,
           {{"hours_since_pitch", 72}, {"gravity_sg", 1.0478}, {"temperature_celsius", 12}}),
      made("temperature unknown", K::slow_start, kRaised,
           {{"hours_since_pitch", 72}, {"gravity_sg", 1.0478}}),
      made("", K::slow_start, kWithdrawn, {{"gravity_sg", 1.0441}}),
      made("next hold warmer", K::step_due, kRaised, due, 1),
      made("next hold warmer, gravity unknown", K::step_due, kRaised, {{"due_time", seven}}, 1),
      planned(made("next hold colder, after the end", K::step_due, kRaised, due, 1), colder),
      planned(made("next hold colder, before the end", K::step_due, kRaised, due, 1), colder_early),
      planned(made("next hold as warm", K::step_due, kRaised, due, 1), same),
      made("the last hold", K::step_due, kRaised, due, 2),
      made("", K::step_due, kWithdrawn, {{"gravity_sg", 1.0204}}, 1),
      made("too cold", K::step_not_held, kRaised,
           {{"temperature_celsius", 17.2}, {"wanted_celsius", 20}, {"hours_since_due", 30}}, 1),
      made("too warm", K::step_not_held, kRaised,
           {{"temperature_celsius", 17.6}, {"wanted_celsius", 2}, {"hours_since_due", 30}}, 1),
      made("", K::step_not_held, kWithdrawn,
           {{"temperature_celsius", 19.5}, {"wanted_celsius", 20}, {"hours_since_due", 34}}, 1),
      made("too warm", K::temperature_out_of_range, kRaised,
           {{"temperature_celsius", 24.3}, {"low_celsius", 16}, {"high_celsius", 22}, {"hours_outside", 5}}),
      made("too cold", K::temperature_out_of_range, kRaised,
           {{"temperature_celsius", 13.1}, {"low_celsius", 16}, {"high_celsius", 22}, {"hours_outside", 5}}),
      made("", K::temperature_out_of_range, kWithdrawn,
           {{"temperature_celsius", 21}, {"low_celsius", 16}, {"high_celsius", 22}}),
      made("not known any more", K::temperature_out_of_range, kWithdrawn,
           {{"unknown_hours", 8}, {"temperature_celsius", 24.3}, {"low_celsius", 16}, {"high_celsius", 22}}),
      made("sure, it has cooled", K::stuck, kRaised,
           {{"gravity_sg", 1.0204},
            {"expected_final_sg", 1.0115},
            {"still_hours", 30},
            {"temperature_celsius", 15.5},
            {"temperature_fall_celsius", 3.5},
            {"doubtful", 0}}),
      made("doubtful, warm already", K::stuck, kRaised,
           {{"gravity_sg", 1.0172},
            {"expected_final_sg", 1.0115},
            {"still_hours", 24},
            {"temperature_celsius", 21.6},
            {"doubtful", 1}}),
      made("temperature unknown", K::stuck, kRaised,
           {{"gravity_sg", 1.0204}, {"expected_final_sg", 1.0115}, {"still_hours", 18}, {"doubtful", 0}}),
      made("", K::stuck, kWithdrawn, {{"gravity_sg", 1.0188}}),
      made("re-evaluated", K::final_gravity_stable, kWithdrawn, {{"corrected", 1}}),
      made("", K::final_gravity_stable, kRaised,
           {{"final_gravity_sg", 1.0116},
            {"final_gravity_low_sg", 1.0112},
            {"final_gravity_high_sg", 1.0121},
            {"change_points", 0.2},
            {"window_hours", 48},
            {"confidence", 0.95},
            {"attenuation", 0.76}}),
      made("", K::final_gravity_stable, kWithdrawn, {{"gravity_sg", 1.0098}, {"change_points", -1.8}}),
      made("", K::over_attenuated, kRaised,
           {{"attenuation", 0.83}, {"expected_high", 0.79}, {"gravity_sg", 1.0082}}),
      made("", K::over_attenuated, kWithdrawn,
           {{"attenuation", 0.78}, {"expected_high", 0.79}, {"gravity_sg", 1.0106}}),
      made("rhythm known", K::sensor_silent, kRaised, {{"silent_hours", 6}, {"usual_interval_minutes", 15}}),
      made("all at once", K::sensor_silent, kRaised,
           {{"silent_hours", 6}, {"usual_interval_minutes", 15}, {"sensors_silent", 3}}),
      made("battery known to be empty", K::sensor_silent, kRaised,
           {{"silent_hours", 6}, {"usual_interval_minutes", 15}, {"battery_volt", 2.95}}),
      made("rhythm unknown", K::sensor_silent, kRaised, {{"silent_hours", 6}}),
      made("", K::sensor_silent, kWithdrawn, {{"usual_interval_minutes", 15}}),
      made("", K::sensor_frozen, kRaised, {{"frozen_hours", 50}, {"value", 1.0204}}),
      made("", K::sensor_frozen, kWithdrawn, {{"value", 1.0201}}),
      made("several", K::sensor_implausible, kRaised, {{"refused_readings", 12}, {"value", 48}}),
      made("clock ahead", K::sensor_implausible, kRaised,
           {{"refused_readings", 12}, {"value", 48}, {"clock_off_hours", 8760}}),
      made("clock behind", K::sensor_implausible, kRaised,
           {{"refused_readings", 12}, {"value", 48}, {"clock_off_hours", -3}}),
      made("one", K::sensor_implausible, kRaised, {{"refused_readings", 1}, {"value", 48}}),
      made("", K::sensor_implausible, kWithdrawn, {{"refused_readings", 12}}),
      made("", K::battery_low, kRaised, {{"battery_volt", 3.1}}),
      made("rate known", K::battery_low, kRaised, {{"battery_volt", 3.1}, {"days_left", 6.2}}),
      made("less than a day", K::battery_low, kRaised, {{"battery_volt", 3.1}, {"days_left", 0.4}}),
      made("", K::battery_low, kWithdrawn, {{"battery_volt", 4.05}}),
      made("up", K::gravity_jumped, kRaised,
           {{"change_points", 5.2}, {"gravity_sg", 1.0204}, {"jump_time", 1772620000}}),
      made("down, the other steady", K::gravity_jumped, kRaised,
           {{"change_points", -4}, {"gravity_sg", 1.0204}, {"jump_time", 1772620000}, {"others_steady", 1}}),
      made("", K::gravity_jumped, kWithdrawn, {{"gravity_sg", 1.0198}}),
  };
}

struct WatcherCase {
  std::string what;
  SystemAlertKind kind;
  Decision::State state;
  Evidence evidence;
};

std::vector<WatcherCase> watcher_cases() {
  using K = SystemAlertKind;
  const double night = epoch("2026-03-05T02:10:00Z");
  const double morning = epoch("2026-03-05T06:40:00Z");
  return {
      {"the first time", K::watcher_started, kRaised, {}},
      {"after a stop", K::watcher_started, kRaised, {{"away_hours", 4.5}, {"stopped_time", night}}},
      {"",
       K::watcher_restarted,
       kRaised,
       {{"away_hours", 4.5}, {"last_alive_time", night}, {"kills_in_a_row", 0}}},
      {"clock behind", K::watcher_restarted, kRaised, {{"last_alive_time", night}, {"kills_in_a_row", 1}}},
      {"again and again",
       K::watcher_restarted,
       kRaised,
       {{"away_hours", 0.1}, {"last_alive_time", night}, {"kills_in_a_row", 4}}},
      {"pace known",
       K::disk_low,
       kRaised,
       {{"free_bytes", 412e6}, {"needed_bytes", 2e9}, {"database_bytes", 96e6}, {"days_left", 6}}},
      {"less than a day",
       K::disk_low,
       kRaised,
       {{"free_bytes", 12e6}, {"needed_bytes", 2e9}, {"database_bytes", 96e6}, {"days_left", 0.3}}},
      {"pace unknown",
       K::disk_low,
       kRaised,
       {{"free_bytes", 412e6}, {"needed_bytes", 5e8}, {"database_bytes", 96e6}}},
      {"", K::disk_low, kWithdrawn, {{"free_bytes", 5.2e9}, {"needed_bytes", 5e8}, {"database_bytes", 96e6}}},
      {"", K::broker_lost, kRaised, {{"lost_since_time", night}, {"lost_hours", 0.25}, {"never_reached", 0}}},
      {"never reached",
       K::broker_lost,
       kRaised,
       {{"lost_since_time", night}, {"lost_hours", 0.25}, {"never_reached", 1}}},
      {"", K::broker_lost, kWithdrawn, {{"lost_since_time", night}, {"lost_hours", 4.5}}},
      {"forward", K::clock_jumped, kRaised, {{"jump_seconds", 7300}, {"jumped_time", morning}}},
      {"back, a little", K::clock_jumped, kRaised, {{"jump_seconds", -75}, {"jumped_time", morning}}},
      {"behind, seen at the start",
       K::clock_jumped,
       kRaised,
       {{"jump_seconds", -5400}, {"last_alive_time", morning}}},
      {"", K::clock_behind, kRaised, {{"clock_time", night - 86400 * 3.0}, {"message_time", morning}}},
      {"",
       K::clock_behind,
       kWithdrawn,
       {{"clock_time", morning}, {"message_time", night}, {"still_behind", 0}}},
      {"still behind",
       K::clock_behind,
       kWithdrawn,
       {{"clock_time", night}, {"message_time", morning}, {"still_behind", 1}}},
      {"", K::database_unwritable, kRaised, {}},
      {"", K::database_unwritable, kWithdrawn, {}},
      {"", K::database_damaged, kRaised, {}},
      {"", K::database_damaged, kWithdrawn, {}},
      {"", K::database_new, kRaised, {}},
      {"", K::message_unstorable, kRaised, {}},
      {"", K::digest, kRaised, {}},
      {"", K::test, kRaised, {}},
  };
}

const std::vector<std::pair<std::string, DisplaySettings>>& displays() {
  static const std::vector<std::pair<std::string, DisplaySettings>> both = [] {
    DisplaySettings metric, other;
    metric.time_zone = "Europe/Vienna";
    other.gravity = DisplaySettings::Gravity::plato;
    other.temperature = DisplaySettings::Temperature::fahrenheit;
    other.time_zone = "America/Chicago";
    return std::vector<std::pair<std::string, DisplaySettings>>{{"SG, Celsius", metric},
                                                                {"Plato, Fahrenheit", other}};
  }();
  return both;
}

std::string all_sentences() {
  std::string all;
  const auto add = [&all](const std::string& kind, Decision::State state, const std::string& what,
                          const std::string& title) {
    all += "== " + kind + ", " + name(state) + (what.empty() ? "" : ": " + what) + "\n" + title + "\n";
  };
  for (const Case& one : cases()) {
    const Decision& d = one.decision;
    add(name(d.kind), d.state, one.what, alert_title(d.kind, d.state, "Amber no. 12", d.sensor));
    for (const auto& [units, display] : displays()) {
      all += "[" + units + "] " + alert_sentence(d, batch_of(one, "Amber no. 12"), display) + "\n";
    }
    all += "\n";
  }
  for (const WatcherCase& one : watcher_cases()) {
    add(name(one.kind), one.state, one.what, system_alert_title(one.kind, one.state));
    all += system_alert_sentence(one.kind, one.state, one.evidence, displays().front().second) + "\n\n";
  }
  return all;
}

void check_reads_well(const std::string& text) {
  CAPTURE(text);
  CHECK(columns(first_sentence(text)) <= kFirstSentence);
  CHECK(text.back() == '.');
  CHECK(first_sentence(text).back() == '.');
  CHECK(text.find("  ") == std::string::npos);
  CHECK(text.find("..") == std::string::npos);
  CHECK(text.find("nan") == std::string::npos);
  CHECK(text.find("inf ") == std::string::npos);
  CHECK(text.find("\u2014") == std::string::npos);
  CHECK(text.find("\u2013") == std::string::npos);
  CHECK(text.find(" unknown") == std::string::npos);
}

// Every number stands before its unit, unless it is a specific gravity, a clock time, a count or a name's.
void check_units(const std::string& text) {
  CAPTURE(text);
  for (std::size_t i = 0; i < text.size();) {
    if (text[i] < '0' || text[i] > '9') {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < text.size() &&
           ((text[end] >= '0' && text[end] <= '9') || text[end] == '.' || text[end] == ':')) {
      ++end;
    }
    while (text[end - 1] == '.' || text[end - 1] == ':') --end;
    const std::string number = text.substr(i, end - i);
    const std::string after = text.substr(end, 9);
    const std::string before = text.substr(i < 5 ? 0 : i - 5, std::min<std::size_t>(i, 5));
    const auto follows = [&](std::initializer_list<const char*> units) {
      return std::any_of(units.begin(), units.end(),
                         [&](const char* unit) { return after.rfind(unit, 0) == 0; });
    };
    const bool gravity = number.size() >= 5 && (number.rfind("1.", 0) == 0 || number.rfind("0.9", 0) == 0);
    const bool clock = number.find(':') != std::string::npos;
    const bool counted =
        follows({" reading", " batch", " point", " h", " min", " s", " day", " times", " to "});
    const bool united = follows({" °C", " °F", " °P", " %", " V", " MB", " GB", " Mar "});
    const bool named = before == "hold " || before == "Hold " || before == "eter-" || before == "no.\u00a0";
    CAPTURE(number, after);
    CHECK((gravity || clock || counted || united || named));
    i = end;
  }
}

std::string repeated(const char* text, int times) {
  std::string all;
  for (int i = 0; i < times; ++i) all += text;
  return all;
}

}  // namespace

TEST_CASE("the sentences are those of the golden file") {
  const std::string now = all_sentences();
  if (std::getenv("GYLE_UPDATE_GOLDEN") != nullptr) std::ofstream(kGolden) << now;
  std::ifstream file(kGolden);
  std::stringstream kept;
  kept << file.rdbuf();
  CHECK(now == kept.str());
}

// A lock screen shows some 300 characters; the rest is behind `explain`.
TEST_CASE("every sentence fits a lock screen, and none claims certainty") {
  constexpr std::size_t kMost = 320;
  std::istringstream all(all_sentences());
  std::string line;
  while (std::getline(all, line)) {
    if (line.empty() || line.rfind("== ", 0) == 0) continue;
    if (line.front() == '[') line.erase(0, line.find("] ") + 2);
    CAPTURE(line);
    CHECK(columns(line) <= kMost);
    CHECK(line.find("100 %") == std::string::npos);
  }
}

TEST_CASE("the golden file has every kind, raised and withdrawn") {
  for (int k = 0; alert_kind_named(name(static_cast<AlertKind>(k))); ++k) {
    for (const auto state : {kRaised, kWithdrawn}) {
      const auto all = cases();
      CAPTURE(name(static_cast<AlertKind>(k)), name(state));
      CHECK(std::any_of(all.begin(), all.end(), [&](const Case& c) {
        return c.decision.kind == static_cast<AlertKind>(k) && c.decision.state == state;
      }));
    }
  }
  for (const auto& row : system_alert_kind::kWords) {
    const auto all = watcher_cases();
    CAPTURE(row.word);
    CHECK(std::any_of(all.begin(), all.end(), [&](const WatcherCase& c) { return c.kind == row.kind; }));
  }
}

TEST_CASE("every sentence reads well, whatever the batch and the sensor are called") {
  const std::string batch = GENERATE(
      as<std::string>(), "Amber no. 12", "Amber no. 12, second run with the other yeast, split in two",
      "St. Brigid No. 5", "Mr. X.", repeated("\u9ea6\u9152", 40), repeated("w", 500), "a\nb\tc");
  const std::string sensor = GENERATE(as<std::string>(), "hydrometer-1",
                                      "the hydrometer of the big vessel in the cellar by the door");
  for (Case one : cases()) {
    if (!one.decision.sensor.empty()) one.decision.sensor = sensor;
    for (const auto& [units, display] : displays()) {
      const std::string text = alert_sentence(one.decision, batch_of(one, batch), display);
      CAPTURE(name(one.decision.kind), name(one.decision.state), units);
      check_reads_well(text);
      CHECK(text.find('\n') == std::string::npos);
      if (batch == "Amber no. 12" && sensor == "hydrometer-1") check_units(text);
      const std::string title =
          alert_title(one.decision.kind, one.decision.state, batch, one.decision.sensor);
      CAPTURE(title);
      CHECK(columns(title) <= kTitleColumns);
      CHECK(columns(reminder_title(title)) <= kTitleColumns);
      CHECK(title.find('{') == std::string::npos);
    }
  }
  for (const WatcherCase& one : watcher_cases()) {
    for (const auto& [units, display] : displays()) {
      const std::string text = system_alert_sentence(one.kind, one.state, one.evidence, display);
      check_reads_well(text);
      check_units(text);
      CHECK(columns(system_alert_title(one.kind, one.state)) <= kTitleColumns);
    }
  }
}

TEST_CASE("nothing is made up when all evidence is missing") {
  for (Case one : cases()) {
    one.decision.evidence.clear();
    const std::string text = alert_sentence(one.decision, batch_of(one, "Amber no. 12"), {});
    CAPTURE(name(one.decision.kind), text);
    CHECK(text.find("nan") == std::string::npos);
    CHECK(columns(first_sentence(text)) <= kFirstSentence);
    CHECK(text.back() == '.');
  }
  for (const WatcherCase& one : watcher_cases())
    check_reads_well(system_alert_sentence(one.kind, one.state, {}, {}));
}

TEST_CASE("every kind of alert has a title in words") {
  for (int k = 0; alert_kind_named(name(static_cast<AlertKind>(k))); ++k) {
    const auto kind = static_cast<AlertKind>(k);
    for (const auto state : {kRaised, kWithdrawn}) {
      const std::string title = alert_title(kind, state, "Amber no. 12", "");
      CAPTURE(title);
      CHECK(title.rfind("Amber no. 12: ", 0) == 0);
      CHECK(title != std::string("Amber no. 12: ") + name(kind));
    }
  }
}

TEST_CASE("the severity of a system alert is known by its name") {
  CHECK(severity_of(*system_alert_kind_named("disk-low")) == Severity::error);
  CHECK(severity_of(*system_alert_kind_named("broker-lost")) == Severity::error);
  CHECK(severity_of(*system_alert_kind_named("watcher-restarted")) == Severity::warning);
  CHECK(severity_of(*system_alert_kind_named("watcher-started")) == Severity::informational);
  CHECK_FALSE(system_alert_kind_named("stuck"));
}

TEST_CASE("numbers beyond all reason do no harm") {
  const double absurd = GENERATE(1e300, -1e300, 1e18, -1.0);
  for (Case one : cases()) {
    for (auto& [name, value] : one.decision.evidence) value = absurd;
    const std::string text = alert_sentence(one.decision, batch_of(one, "Amber no. 12"), {});
    CHECK(text.back() == '.');
  }
  for (WatcherCase one : watcher_cases()) {
    for (auto& [name, value] : one.evidence) value = absurd;
    CHECK(system_alert_sentence(one.kind, one.state, one.evidence, {}).back() == '.');
  }
}
