#include "alerts/delivery_plan.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

const Time kNow = parse_rfc3339("2026-03-01T12:00:00Z").value();
const Calm kCalm{parse_quiet_hours("22:00-07:00").value(), Severity::critical};

Waiting waiting(std::int64_t id, const char* kind, Time time,
                Decision::State state = Decision::State::raised) {
  Waiting one{};
  one.id = id;
  one.next = Time{};
  one.alert.id = 100 + id;
  one.alert.batch = 1;
  one.alert.kind = kind;
  one.alert.occurrence = 1;
  one.alert.state = state;
  one.alert.time = time;
  one.alert.severity = Severity::warning;
  return one;
}

DeliveryPlan plan(const std::vector<Waiting>& all, Time now = kNow) {
  return plan_delivery(all, {true, kCalm, "UTC"}, now, now);
}

Parcel parcel(std::int64_t number) { return {number, Together::sent_late, kNow}; }

DeliveryPlan plan_for_machine(const std::vector<Waiting>& all) {
  return plan_delivery(all, {false, {}, "UTC"}, kNow, kNow);
}

using Ids = std::vector<std::int64_t>;

}  // namespace

TEST_CASE("by day an alert is sent at once and alone") {
  const DeliveryPlan first = plan({waiting(1, "step-due", kNow), waiting(2, "stuck", kNow)});
  CHECK(first.parcel == Ids{1});
  CHECK(first.together == Together::alone);
  CHECK_FALSE(plan({}).wake);
  CHECK(plan({}).parcel.empty());
}

TEST_CASE("many alerts at once are combined") {
  const DeliveryPlan many = plan({waiting(1, "a", kNow), waiting(2, "b", kNow), waiting(3, "c", kNow)});
  CHECK(many.parcel == Ids{1, 2, 3});
  CHECK(many.together == Together::at_once);
}

TEST_CASE("an alert that was withdrawn before it was sent is sent together with its withdrawal") {
  const DeliveryPlan both =
      plan({waiting(1, "stuck", kNow - hours(1)), waiting(2, "stuck", kNow, Decision::State::withdrawn)});
  CHECK(both.parcel == Ids{1, 2});
  CHECK(both.together != Together::alone);
}

TEST_CASE("an old alert is sent as history") {
  const DeliveryPlan old = plan({waiting(1, "step-due", kNow - days(3))});
  CHECK(old.parcel == Ids{1});
  CHECK(old.together == Together::sent_late);
}

TEST_CASE("during quiet hours only urgent alerts are sent") {
  const Time night = parse_rfc3339("2026-03-01T23:00:00Z").value();
  std::vector<Waiting> all{waiting(1, "stuck", night)};
  const DeliveryPlan wait = plan(all, night);
  CHECK(wait.parcel.empty());
  REQUIRE(wait.wake);
  CHECK(*wait.wake == hours(8));
  all.push_back(waiting(2, "sensor-silent", night));
  all.back().alert.severity = Severity::alert;
  CHECK(plan(all, night).parcel == Ids{2});
  all.back().alert.state = Decision::State::withdrawn;  // not urgent
  CHECK(plan(all, night).parcel.empty());

  const Time morning = night + hours(8);
  const DeliveryPlan together =
      plan({waiting(1, "a", night), waiting(2, "b", night), waiting(3, "c", night + hours(1))}, morning);
  CHECK(together.parcel == Ids{1, 2, 3});
  CHECK(together.together == Together::quiet_hours);
}

TEST_CASE("a test is sent at any hour, first, and once") {
  const Time night = parse_rfc3339("2026-03-01T23:00:00Z").value();
  Waiting stuck = waiting(1, "stuck", night);
  stuck.parcel = parcel(1);
  stuck.attempts = 3;
  stuck.next = night + hours(1);
  Waiting test = waiting(2, "test", night);
  CHECK(plan({stuck, test}, night).parcel == Ids{2});
  test.attempts = 1;
  test.parcel = parcel(2);
  const DeliveryPlan after = plan({stuck, test}, night);
  CHECK(after.parcel.empty());
  CHECK(after.overtaken == Ids{2});
}

TEST_CASE("a parcel is repeated unchanged, when its retry is due") {
  Waiting one = waiting(1, "a", kNow), two = waiting(2, "b", kNow), three = waiting(3, "c", kNow);
  one.parcel = two.parcel = parcel(1);
  one.attempts = two.attempts = 2;
  one.next = two.next = kNow + minutes(5);
  const DeliveryPlan early = plan({one, two, three});
  CHECK(early.parcel.empty());
  CHECK(early.wake == Duration(minutes(5)));
  const DeliveryPlan later = plan({one, two, three}, kNow + minutes(5));
  CHECK(later.parcel == Ids{1, 2});
  REQUIRE(later.packed);
  CHECK(later.packed->number == 1);
  CHECK(later.packed->together == Together::sent_late);
}

TEST_CASE("a failed message waits for the end of the quiet hours, and an urgent alert overtakes it") {
  const Time night = parse_rfc3339("2026-03-01T23:00:00Z").value();
  Waiting one = waiting(1, "stuck", night - hours(2));
  one.parcel = parcel(1);
  one.attempts = 3;
  CHECK(plan({one}, night).parcel.empty());
  CHECK(plan({one}, night).wake == Duration(hours(8)));
  Waiting two = waiting(2, "disk-low", night);
  two.alert.severity = Severity::alert;
  CHECK(plan({one, two}, night).parcel == Ids{2});
  CHECK(plan({one}, night + hours(8)).parcel == Ids{1});
}

TEST_CASE("a test overtakes a failed message to a machine too") {
  Waiting stuck = waiting(1, "stuck", kNow);
  stuck.parcel = parcel(1);
  stuck.attempts = 3;
  stuck.next = kNow + hours(1);
  Waiting test = waiting(2, "test", kNow);
  CHECK(plan_for_machine({stuck, test}).parcel == Ids{2});
  test.attempts = 1;
  CHECK(plan_for_machine({stuck, test}).overtaken == Ids{2});
}

TEST_CASE("after a long outage everything is sent in one message") {
  Waiting one = waiting(1, "a", kNow), two = waiting(2, "b", kNow);
  one.parcel = parcel(1);
  one.attempts = 8;
  CHECK(plan({one, two}).unpack == 1);
  one.parcel.reset();
  one.alert.time = kNow - hours(8);
  const DeliveryPlan all = plan({one, two});
  CHECK(all.parcel == Ids{1, 2});
  CHECK(all.together == Together::sent_late);
  // Without anything new it is repeated unchanged.
  one.parcel = parcel(1);
  CHECK(plan({one}).parcel == Ids{1});
}

TEST_CASE("a reminder of an alert that is over, acknowledged or snoozed is dropped") {
  Waiting reminder = waiting(1, "stuck", kNow - days(3));
  reminder.reminder = 2;
  CHECK(plan({reminder}).parcel == Ids{1});
  CHECK(plan({reminder}).together == Together::alone);
  SECTION("over") { reminder.alert.over = true; }
  SECTION("acknowledged") { reminder.alert.acknowledged = kNow; }
  SECTION("snoozed") { reminder.alert.snoozed_until = kNow + hours(1); }
  const DeliveryPlan useless = plan({reminder});
  CHECK(useless.parcel.empty());
  CHECK(useless.overtaken == Ids{1});
}

TEST_CASE("only the last reminder of an alert is kept, and none beside the alert itself") {
  Waiting alert = waiting(1, "stuck", kNow), first = waiting(2, "stuck", kNow),
          second = waiting(3, "stuck", kNow);
  first.alert.id = second.alert.id = alert.alert.id;
  first.reminder = 1;
  second.reminder = 2;
  const DeliveryPlan reminders = plan({first, second});
  CHECK(reminders.overtaken == Ids{2});
  CHECK(reminders.parcel == Ids{3});
  const DeliveryPlan beside = plan({alert, first});
  CHECK(beside.overtaken == Ids{2});
  CHECK(beside.parcel == Ids{1});
}

TEST_CASE("machines get everything, in order, one by one") {
  std::vector<Waiting> all{waiting(1, "stuck", kNow - days(9)),
                           waiting(2, "stuck", kNow, Decision::State::withdrawn)};
  CHECK(plan_for_machine(all).parcel == Ids{1});
  all.front().parcel = parcel(1);
  CHECK(plan_for_machine(all).packed);
  all.front().next = kNow + minutes(1);
  CHECK(plan_for_machine(all).parcel.empty());
  CHECK(plan_for_machine(all).wake == Duration(minutes(1)));
}

TEST_CASE("pauses between attempts double up to an hour") {
  CHECK(retry_pause(1, 0) == seconds(5));
  CHECK(retry_pause(2, 0) == seconds(10));
  CHECK(retry_pause(5, 0) == seconds(80));
  CHECK(retry_pause(11, 0) == hours(1));
  CHECK(retry_pause(1'000'000, 0) == hours(1));
}

TEST_CASE("pauses are shortened at random by up to a third") {
  const double random = GENERATE(0.0, 0.25, 0.5, 0.999);
  const Duration pause = retry_pause(8, random);
  CHECK(pause <= seconds(640));
  CHECK(pause >= seconds(426));
}
