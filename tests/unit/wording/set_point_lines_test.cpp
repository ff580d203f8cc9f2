#include "wording/set_point_lines.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using Catch::Contains;
using State = SetPoint::State;
using Lines = std::vector<std::string>;

namespace {

const Time kNow = parse_rfc3339("2026-03-05T07:15:00Z").value();
const Ask kWarm{1, Celsius{22}};

BatchSpec amber(double second) {
  BatchSpec batch;
  batch.name = "Amber no. 12";
  batch.plan = {{Celsius{18}, UntilProgress{0.75}}, {Celsius{second}, UntilFinalGravity{}}};
  return batch;
}

SetPointStatus status(State state) {
  SetPointStatus one;
  one.next = {state, kWarm, {}};
  one.rule = {Celsius{10}, Celsius{24}};
  return one;
}

std::string second_line(const SetPointStatus& one, double second = 22) {
  return set_point_lines("left", amber(second), one, {}, kNow).at(1);
}

Decision decision(AlertKind kind, Decision::State state) {
  Decision d;
  d.time = kNow;
  d.kind = kind;
  d.state = state;
  d.step = 1;
  return d;
}

std::string sentence(AlertKind kind, Decision::State state, double second, bool automatic) {
  const SetPointRule rule{Celsius{10}, Celsius{24}, automatic};
  return set_point_sentence(decision(kind, state), amber(second), "left", rule, {});
}

}  // namespace

TEST_CASE("the lines of a set point") {
  CHECK(set_point_lines("left", amber(22), status(State::awaits_yes), {}, kNow) ==
        Lines{"left: Amber no. 12", "  Hold 1 is over: 22 °C is next, and waits for your yes.",
              "  gylekeeper set-point left --confirm"});
  SetPointStatus asked = status(State::asked);
  asked.next.due = kNow + minutes(3);
  asked.asked = kWarm;
  asked.asked_since = kNow - hours(2);
  CHECK(set_point_lines("left", amber(22), asked, {}, kNow) ==
        Lines{"left: Amber no. 12",
              "  The thermostat is asked for 22 °C since Thu 5 Mar 05:15, again every 10 min."});
  asked.trouble = "it is not permitted";
  CHECK(set_point_lines("left", amber(22), asked, {}, kNow).back() ==
        "  The broker did not take it: it is not permitted.");
  DisplaySettings fahrenheit;
  fahrenheit.temperature = DisplaySettings::Temperature::fahrenheit;
  CHECK_THAT(set_point_lines("left", amber(22), asked, fahrenheit, kNow).at(1), Contains("71.6 °F"));
}

TEST_CASE("a set point that is not sent is explained, with what the brewer can do") {
  CHECK_THAT(second_line(status(State::off)), Contains("no set_point in the configuration"));
  SetPointStatus cold = status(State::outside_limits);
  cold.next.ask = Ask{1, Celsius{2}};
  CHECK_THAT(second_line(cold, 2), Contains("the plan wants 2 °C") && Contains("10 to 24 °C") &&
                                       Contains("not asked") && Contains("by hand"));
  CHECK_THAT(second_line(status(State::taken_back)),
             Contains("not over after all") && Contains("not asked to go back") && Contains("by hand"));
  SetPointStatus agreed = status(State::agreed);
  agreed.next.due = kNow + minutes(20);
  CHECK_THAT(second_line(agreed), Contains("at Thu 5 Mar 07:35") && Contains("less than 30 min"));
  agreed.next.due = kNow;
  CHECK_THAT(second_line(agreed), Contains("now"));
  CHECK_THAT(second_line(status(State::ended)), Contains("left its vessel"));
}

TEST_CASE("before a hold is over, the lines say what will be sent and what will not") {
  SetPointStatus none = status(State::none);
  none.next.ask.reset();
  CHECK_THAT(set_point_lines("left", amber(22), none, {}, kNow).at(2),
             Contains("22 °C") && Contains("after your yes"));
  none.rule.automatic = true;
  CHECK_THAT(set_point_lines("left", amber(22), none, {}, kNow).at(2), !Contains("yes"));
  CHECK_THAT(set_point_lines("left", amber(2), none, {}, kNow).at(2),
             Contains("limits forbid") && Contains("yours to set"));
}

TEST_CASE("the next set point does not hide the one before") {
  SetPointStatus next = status(State::awaits_yes);
  next.asked = Ask{1, Celsius{22}};
  next.next.ask = Ask{2, Celsius{12}};
  next.asked_since = kNow - hours(2);
  CHECK_THAT(set_point_lines("left", amber(22), next, {}, kNow).back(),
             Contains("asked for 22 °C last, on Thu 5 Mar 05:15") && Contains("not again"));
}

TEST_CASE("the alert of a step says what the thermostat does about it") {
  constexpr auto kRaised = Decision::State::raised;
  constexpr auto kWithdrawn = Decision::State::withdrawn;
  using K = AlertKind;
  CHECK(sentence(K::step_due, kRaised, 22, true) ==
        " Its thermostat is asked for 22 °C now; check that it obeys.");
  CHECK(sentence(K::step_due, kRaised, 22, false) ==
        " Its thermostat is asked for 22 °C after your yes: gylekeeper set-point left --confirm.");
  for (const bool automatic : {true, false}) {
    CHECK(sentence(K::step_due, kRaised, 2, automatic) ==
          " Its thermostat is not asked for 2 °C: your limits are 10 to 24 °C. Set it by hand.");
    CHECK(sentence(K::step_due, kRaised, 18, automatic).empty());
    CHECK_THAT(sentence(K::step_due, kWithdrawn, 22, automatic), Contains("not asked to go back"));
    CHECK(sentence(K::step_due, kWithdrawn, 2, automatic).empty());
    CHECK_THAT(sentence(K::step_not_held, kRaised, 22, automatic), Contains("gylekeeper set-point left"));
    CHECK(sentence(K::step_not_held, kWithdrawn, 22, automatic).empty());
    CHECK(sentence(K::stuck, kRaised, 22, automatic).empty());
  }
}
