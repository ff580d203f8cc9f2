#include "app/broker_state.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Kind = LinkEvent::Kind;

namespace {

constexpr Time kNow{days(20'000)};

LinkEvent event(Kind kind, const char* text = "") {
  LinkEvent one{};
  one.kind = kind;
  one.text = text;
  return one;
}

}  // namespace

TEST_CASE("a broker that was never reached says so, and time does not go on") {
  const BrokerState broker;
  CHECK_FALSE(broker.connected());
  CHECK_FALSE(broker.caught_up(kNow));
  CHECK_FALSE(broker.facts(days(30)).trouble.empty());
}

TEST_CASE("time goes on once what had waited at the broker has come") {
  BrokerState broker;
  broker.take(event(Kind::connected), kNow);
  CHECK(broker.connected());
  CHECK_FALSE(broker.caught_up(kNow));
  CHECK(broker.caught_up(kNow + minutes(1)));
  broker.backlog(kNow + minutes(1));
  CHECK_FALSE(broker.caught_up(kNow + minutes(1)));
  CHECK(broker.caught_up(kNow + minutes(2)));
}

TEST_CASE("a lost connection stops time at once; a complaint about it does not") {
  BrokerState broker;
  broker.take(event(Kind::connected), kNow);
  const Time later = kNow + hours(1);
  SECTION("a complaint") {
    broker.take(event(GENERATE(Kind::degraded, Kind::denied), "no"), later);
    CHECK(broker.caught_up(later));
    CHECK(broker.facts(days(30)).trouble.empty());
  }
  SECTION("a loss") {
    broker.take(event(GENERATE(Kind::lost, Kind::refused), "It is gone"), later);
    CHECK_FALSE(broker.connected());
    CHECK_FALSE(broker.caught_up(later + hours(1)));
    CHECK(broker.facts(days(30)).trouble == "It is gone");
  }
}

TEST_CASE("what the broker grants is that of its newest connection") {
  BrokerState broker;
  LinkEvent connected = event(Kind::connected);
  connected.limits.version5 = true;
  broker.take(connected, kNow);
  CHECK(broker.facts(days(30)).expiry_granted == days(30));  // as asked for: the broker named no other
  connected.limits.session_expiry = hours(1);
  connected.limits.receive_maximum = 20;
  broker.take(connected, kNow);
  const BrokerFacts facts = broker.facts(days(30));
  CHECK(facts.version5);
  CHECK(facts.expiry_wanted == days(30));
  CHECK(facts.expiry_granted == hours(1));
  CHECK(facts.receive_maximum == 20U);
}
