#include "fermentation/set_point.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"

using namespace gyle;
using State = SetPoint::State;

namespace {

const Time kNow = parse_rfc3339("2026-03-08T07:00:00Z").value();

BatchSpec three_holds() {
  BatchSpec spec;
  spec.plan = {
      {Celsius{18}, UntilProgress{0.75}}, {Celsius{22}, UntilFinalGravity{}}, {Celsius{4}, UntilDays{3}}};
  return spec;
}

SetPointRule limits(bool automatic) {
  return {Celsius{10}, Celsius{24}, automatic, minutes(10), minutes(30)};
}

const Ask kWarm{1, Celsius{22}};

}  // namespace

TEST_CASE("before a hold is over, and without a plan, the thermostat is the brewer's") {
  CHECK(next_set_point(three_holds(), 0, limits(true), {}, kNow).state == State::none);
  CHECK(next_set_point({}, 0, limits(true), {}, kNow).state == State::none);
  CHECK(next_set_point({}, 3, limits(true), {}, kNow).state == State::none);
}

TEST_CASE("the next temperature is sent at once if automatic, else once it is confirmed") {
  const SetPoint automatic = next_set_point(three_holds(), 1, limits(true), {}, kNow);
  CHECK(automatic.state == State::agreed);
  CHECK(automatic.ask == kWarm);
  CHECK(automatic.due == kNow);

  SetPointPast past;
  CHECK(next_set_point(three_holds(), 1, limits(false), past, kNow).state == State::awaits_yes);
  past.confirmed = Ask{1, Celsius{21}};  // of a plan that has been changed since
  CHECK(next_set_point(three_holds(), 1, limits(false), past, kNow).state == State::awaits_yes);
  past.confirmed = kWarm;
  const SetPoint agreed = next_set_point(three_holds(), 1, limits(false), past, kNow);
  CHECK(agreed.state == State::agreed);
  CHECK(agreed.due == kNow);
}

TEST_CASE("a temperature outside of the limits is never due, confirmed or not") {
  struct Row {
    const char* name;
    double wanted;
    bool sent;
  };
  const auto row = GENERATE(values<Row>({{"below", 9.99, false},
                                         {"lowest", 10, true},
                                         {"highest", 24, true},
                                         {"above", 24.01, false},
                                         {"no number", std::numeric_limits<double>::quiet_NaN(), false},
                                         {"no end", std::numeric_limits<double>::infinity(), false}}));
  const bool automatic = GENERATE(true, false);
  CAPTURE(row.name, automatic);
  BatchSpec spec = three_holds();
  spec.plan[1].temperature = Celsius{row.wanted};
  SetPointPast past;
  past.confirmed = Ask{1, Celsius{row.wanted}};
  past.asked = Ask{0, Celsius{18}};
  past.sent = kNow - days(1);
  const SetPoint next = next_set_point(spec, 1, limits(automatic), past, kNow);
  CHECK(next.due.has_value() == row.sent);
  CHECK((next.state == State::outside_limits) == !row.sent);
}

TEST_CASE("a temperature is repeated after the interval, and at once after a start of the daemon") {
  SetPointPast past{kWarm, kWarm, kNow - hours(5), kNow - minutes(4)};
  const bool automatic = GENERATE(true, false);
  const SetPoint next = next_set_point(three_holds(), 1, limits(automatic), past, kNow);
  CHECK(next.state == State::asked);
  CHECK(next.due == kNow + minutes(6));
  past.sent.reset();
  CHECK(next_set_point(three_holds(), 1, limits(automatic), past, kNow).due == kNow);
  SetPointRule once = limits(automatic);
  once.resend = Duration(0);
  CHECK_FALSE(next_set_point(three_holds(), 1, once, past, kNow).due.has_value());
}

TEST_CASE("two changes are never closer than the pause, for whichever batch") {
  SetPointPast past;
  past.changed = kNow - minutes(10);
  const SetPoint next = next_set_point(three_holds(), 1, limits(true), past, kNow);
  CHECK(next.state == State::agreed);
  CHECK(next.due == kNow + minutes(20));
}

TEST_CASE("a clock that was ahead does not block changes") {
  const Time ahead = kNow + days(3000);
  CHECK(next_set_point(three_holds(), 1, limits(true), {{}, {}, ahead, {}}, kNow).due == kNow);
  CHECK(next_set_point(three_holds(), 1, limits(true), {kWarm, {}, ahead, ahead}, kNow).due == kNow);
}

TEST_CASE("while another temperature waits, the one before is not repeated") {
  SetPointPast past{kWarm, kWarm, kNow - days(4), kNow - days(1)};
  // The third hold: colder than the limits allow.
  CHECK_FALSE(next_set_point(three_holds(), 2, limits(true), past, kNow).due.has_value());
  BatchSpec spec = three_holds();
  spec.plan[2].temperature = Celsius{12};
  CHECK(next_set_point(spec, 2, limits(false), past, kNow).state == State::awaits_yes);
  CHECK_FALSE(next_set_point(spec, 2, limits(false), past, kNow).due.has_value());
  CHECK(next_set_point(spec, 2, limits(true), past, kNow).state == State::agreed);
}

TEST_CASE("after the last hold nothing changes") {
  const SetPointPast past{Ask{2, Celsius{12}}, {}, kNow - days(4), kNow};
  BatchSpec spec = three_holds();
  spec.plan[2].temperature = Celsius{12};
  CHECK(next_set_point(spec, 3, limits(true), past, kNow).state == State::asked);
}

TEST_CASE("a hold that is not over after all leads to no temperature, and never back") {
  const SetPointPast past{kWarm, kWarm, kNow - hours(1), kNow - hours(1)};
  for (const bool automatic : {true, false}) {
    const SetPoint next = next_set_point(three_holds(), 0, limits(automatic), past, kNow);
    CHECK(next.state == State::taken_back);
    CHECK(next.ask == kWarm);
    CHECK_FALSE(next.due.has_value());
  }
}

TEST_CASE("a hold at the same temperature needs no new confirmation") {
  BatchSpec spec = three_holds();
  spec.plan[2].temperature = Celsius{22};
  const SetPointPast past{kWarm, kWarm, kNow - hours(50), kNow};
  CHECK(next_set_point(spec, 2, limits(false), past, kNow).state == State::asked);
}

TEST_CASE("every state has a name") {
  CHECK(name(State::off) == std::string("off"));
  CHECK(name(State::awaits_yes) == std::string("awaits-yes"));
  CHECK(name(State::ended) == std::string("ended"));
}

TEST_CASE("a step is carried out when the beer is most of the way to the next hold") {
  BatchSpec spec;
  spec.plan = {
      {Celsius{17}, UntilProgress{0.75}}, {Celsius{20}, UntilDays{3}}, {Celsius{20.5}, UntilFinalGravity{}}};
  CHECK_FALSE(step_carried_out(spec, 1, Celsius{17.2}, 1));
  CHECK_FALSE(step_carried_out(spec, 1, std::nullopt, 1));
  CHECK(step_carried_out(spec, 1, Celsius{19.5}, 1));
  CHECK(step_carried_out(spec, 2, Celsius{17.2}, 1));  // the next hold is over as well
  CHECK(step_carried_out(spec, 2, Celsius{17.2}, 2));  // half a degree cannot be seen
  CHECK(step_carried_out(spec, 3, Celsius{17.2}, 3));  // nothing follows
  spec.plan = {{Celsius{20}, UntilDays{3}}, {Celsius{4}, UntilDays{7}}};
  CHECK_FALSE(step_carried_out(spec, 1, Celsius{19.0}, 1));
  CHECK(step_carried_out(spec, 1, Celsius{8.0}, 1));
}
