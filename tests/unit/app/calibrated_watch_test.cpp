// A hydrometer that reports its inclination, from the journal to the alerts and the API.
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "base/rfc3339.h"
#include "rehearsal/rehearsal.h"
#include "running_daemon.h"

using namespace gyle;
using nlohmann::json;
using test::RunningDaemon;

namespace {

// The hydrometer of these tests inclines by 0.45 degrees a point, from 18 degrees in water.
double inclination_in(double gravity) { return 18 + 450 * (gravity - 1); }

InclinationFit right() {
  const std::vector<CalibrationPoint> points{{18, SpecificGravity::unchecked(1.000)},
                                             {54, SpecificGravity::unchecked(1.080)}};
  return fit_inclination(points).value();
}

InclinationFit wrong() {
  const std::vector<CalibrationPoint> points{{18, SpecificGravity::unchecked(1.010)},
                                             {54, SpecificGravity::unchecked(1.060)}};
  return fit_inclination(points).value();
}

Rehearsal two_weeks() {
  RehearsalOptions options;
  options.seed = 7;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(60);
  return rehearse(options).value();
}

// Each gravity of the hydrometer as an inclination; with `own` it also sends a gravity, a wrong one.
std::vector<Reading> inclined(std::vector<Reading> readings, bool own = false) {
  std::vector<Reading> all;
  for (Reading& one : readings) {
    if (one.quantity == Quantity::gravity) {
      Reading made_up = one;
      made_up.value = 1.1;
      if (own) all.push_back(made_up);
      one.quantity = Quantity::inclination;
      one.value = inclination_in(one.value);
    }
    all.push_back(one);
  }
  return all;
}

void check_same_curve(const BatchTrace& a, const BatchTrace& b, double within) {
  REQUIRE(a.curve().size() == b.curve().size());
  for (std::size_t i = 0; i < a.curve().size(); ++i) {
    REQUIRE(a.curve()[i].time == b.curve()[i].time);
    REQUIRE(a.curve()[i].gravity_raw == Approx(b.curve()[i].gravity_raw).margin(within).epsilon(0));
    REQUIRE(a.curve()[i].gravity.value == Approx(b.curve()[i].gravity.value).margin(within).epsilon(0));
    REQUIRE(a.curve()[i].stage == b.curve()[i].stage);
  }
}

}  // namespace

// The truth: the same beer, sent as gravity. To a hundredth of a point, the rounding of the inclination.
TEST_CASE("a calibrated hydrometer is judged as if it had sent the gravity itself") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon plain;
  RunningDaemon calibrated;
  REQUIRE(plain.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(calibrated.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(calibrated.watch->calibrate("hydrometer", right(), rehearsal.spec.pitched));
  int count = 0;
  for (const auto& message : rehearsal.messages) {
    plain.deliver(message.readings, message.delivered);
    calibrated.deliver(inclined(message.readings, ++count % 3 == 0), message.delivered);
    if (count == 150) calibrated.restart();
  }
  CHECK(plain.trace().curve().size() > 300);
  check_same_curve(calibrated.trace(), plain.trace(), 1e-5);
  CHECK(plain.reported().size() >= 3);
  CHECK(calibrated.reported() == plain.reported());
  // The journal has what the hydrometer sent.
  const json readings = calibrated.answer("GET", "/v1/sensors");
  CHECK(calibrated.ask("GET", "/v1/batches/cellar/readings.csv").body.find(",inclination,") !=
        std::string::npos);
}

TEST_CASE("a new calibration re-evaluates an open batch from its pitch on, before and after a restart") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon early;
  RunningDaemon late;
  REQUIRE(early.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(late.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(early.watch->calibrate("hydrometer", right(), rehearsal.spec.pitched));
  for (std::size_t i = 0; i < rehearsal.messages.size(); ++i) {
    const auto& message = rehearsal.messages[i];
    if (i == 100) {
      CHECK(late.trace().curve().empty());  // an inclination alone says nothing
      REQUIRE(late.watch->calibrate("hydrometer", wrong(), message.delivered));
      CHECK_FALSE(late.trace().curve().empty());
    }
    if (i == 200) REQUIRE(late.watch->calibrate("hydrometer", right(), message.delivered));
    early.deliver(inclined(message.readings), message.delivered);
    late.deliver(inclined(message.readings), message.delivered);
  }
  check_same_curve(late.trace(), early.trace(), 0);
  const BatchTrace before = late.trace();
  late.restart();
  check_same_curve(late.trace(), before, 0);
}

TEST_CASE("a packaged batch keeps its evaluation when a sensor is calibrated again") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(daemon.watch->calibrate("hydrometer", right(), rehearsal.spec.pitched));
  for (const auto& message : rehearsal.messages)
    daemon.deliver(inclined(message.readings), message.delivered);
  const BatchTrace before = daemon.trace();
  REQUIRE(daemon.watch->package(1, rehearsal.messages.back().delivered));
  REQUIRE(daemon.watch->calibrate("hydrometer", wrong(), rehearsal.messages.back().delivered));
  daemon.restart();
  check_same_curve(daemon.trace(), before, 0);
}

TEST_CASE("an inclination outside the calibrated range gives no gravity") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  REQUIRE(daemon.watch->calibrate("hydrometer", right(), rehearsal.spec.pitched));
  for (std::size_t i = 0; i < 40; ++i) {
    daemon.deliver(inclined(rehearsal.messages[i].readings), rehearsal.messages[i].delivered);
  }
  const auto curve = daemon.trace().curve();
  const Time next = rehearsal.messages[40].delivered;
  daemon.deliver({{next, "hydrometer", Quantity::inclination, 88}}, next);  // it has run aground
  CHECK(daemon.trace().curve().size() == curve.size());
  const json sensors = daemon.answer("GET", "/v1/sensors");
  CHECK(sensors.dump().find("outside its calibration") != std::string::npos);
}

TEST_CASE("past hand samples calibrate a hydrometer, and a bad fit is refused and changes nothing") {
  const Rehearsal rehearsal = two_weeks();
  RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  std::vector<std::pair<double, std::string>> samples;  // gravity and time
  for (std::size_t i = 0; i < rehearsal.messages.size(); ++i) {
    const auto& message = rehearsal.messages[i];
    daemon.deliver(inclined(message.readings), message.delivered);
    if (i % 60 != 10) continue;
    for (const Reading& one : message.readings) {
      if (one.quantity != Quantity::gravity) continue;
      samples.emplace_back(one.value, format_rfc3339(one.time));
      const auto taken =
          daemon.ask("POST", "/v1/batches/cellar/samples?gravity=" + std::to_string(one.value) +
                                 "&time=" + samples.back().second);
      CAPTURE(taken.body);
      REQUIRE(taken.status == 201);
    }
  }
  REQUIRE(samples.size() >= 4);
  const json listed = daemon.answer("GET", "/v1/batches/cellar/samples");
  REQUIRE(listed["samples"].size() == samples.size());
  CHECK(listed["samples"][0]["time"] == samples[0].second);
  CHECK(listed["samples"][0]["gravity_sg"].get<double>() == Approx(samples[0].first).margin(1e-6));
  CHECK(listed["samples"][0]["number"].get<int>() > 0);

  const json tried = daemon.answer("POST", "/v1/sensors/hydrometer/calibration?samples=cellar&dry_run=true");
  CHECK(daemon.answer("GET", "/v1/sensors/hydrometer/calibration")["calibrations"].empty());
  CHECK(daemon.trace().curve().empty());
  const json stored = daemon.answer("POST", "/v1/sensors/hydrometer/calibration?samples=cellar");
  CHECK(stored["fit"] == tried["fit"]);
  CHECK(stored["fit"]["points"].size() == samples.size());
  // The truth is 0.0022 a degree; the middle of three inclinations within an hour is not quite that at the
  // sample.
  for (const json& point : stored["fit"]["points"]) {
    CHECK(std::abs(point["curve_off_points"].get<double>()) < 1.5);
    CHECK(point["inclination_degrees"].get<double>() ==
          Approx(inclination_in(point["gravity_sg"].get<double>())).margin(1).epsilon(0));
  }
  CHECK_FALSE(daemon.trace().curve().empty());

  const std::string far = "18 = 1.000\n54 = 1.080\n36 = 1.060";
  CHECK(daemon.ask("POST", "/v1/sensors/hydrometer/calibration", far).status == 409);
  CHECK(daemon.ask("POST", "/v1/sensors/probe/calibration", far).status == 409);
  CHECK(daemon.answer("GET", "/v1/sensors/hydrometer/calibration")["calibrations"].size() == 1);
  const json aside = daemon.answer("POST", "/v1/sensors/hydrometer/calibration/set-aside");
  CHECK(aside["stored"] == true);
  CHECK(daemon.trace().curve().empty());
  daemon.restart();
  CHECK(daemon.trace().curve().empty());
}

// The hydrometer has read three points too high since the start; a sample at the truth shows that.
TEST_CASE("every kind of hand sample reaches the estimate") {
  struct Row {
    const char* name;
    const char* query;
    double gravity;  // at 20 degC
    const char* says;
  };
  // The refractometer: 1.0448 SG is 11.12 degP by the sucrose table, and wort shows 1.04 times that;
  // with alcohol in it the same is less (units/refractometer.h, which has its own test).
  const auto row = GENERATE(values<Row>({
      {"hydrometer", "gravity=1.0448", 1.0448, "The sample is 1.0448"},
      {"warm hydrometer", "gravity=1.0437&temperature=25+Cel", 1.0449, "shows 1.0437 at 25 °C"},
      {"hydrometer for 60 degF", "gravity=1.0447&temperature=15.56+Cel&calibrated_at=60+F", 1.0447,
       "15.6 °C"},
      {"refractometer in wort", "refractometer=11.565&wort=true", 1.0448, "11.1 °P"},
      {"refractometer", "refractometer=11.565", 1.0442, "straight line of ours"},
  }));
  CAPTURE(row.name);
  RunningDaemon daemon;
  BatchSpec spec = two_weeks().spec;
  spec.original_gravity = SpecificGravity::unchecked(1.0455);
  REQUIRE(daemon.watch->pitch("cellar", spec));
  for (int i = 0; i < 24; ++i) {
    const Time time = spec.pitched + minutes(15 * i);
    daemon.deliver({{time, "hydrometer", Quantity::gravity, 1.0478},
                    {time, "hydrometer", Quantity::beer_temperature, 20}},
                   time);
  }
  const BatchView before = daemon.watch->view(daemon.batch()).value();
  const json answer = daemon.answer("POST", std::string("/v1/batches/cellar/samples?") + row.query);
  CHECK(answer["gravity_sg"].get<double>() == Approx(row.gravity).margin(2e-4).epsilon(0));
  CHECK(answer["lines"].dump().find(row.says) != std::string::npos);
  const BatchView after = daemon.watch->view(daemon.batch()).value();
  const auto measured = daemon.trace().samples();
  REQUIRE(measured.size() == 1);
  CHECK(measured[0].value == answer["gravity_sg"].get<double>());
  CHECK(after.offset->value.value > before.offset->value.value + 0.3);
  CHECK(after.gravity->value < before.gravity->value - 0.0002);
}
