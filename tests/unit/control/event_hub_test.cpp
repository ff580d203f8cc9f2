#include "control/event_hub.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("every listener gets every event, until it has enough") {
  EventHub hub;
  std::string first, second;
  const auto one = hub.subscribe([&](const EventHub::Event& event) { first += *event; });
  hub.subscribe([&](const EventHub::Event& event) { second += *event; });
  hub.publish("a");
  hub.unsubscribe(one);
  hub.publish("b");
  CHECK(first == "a");
  CHECK(second == "ab");
  CHECK(hub.listeners() == 1);
}

TEST_CASE("a listener may leave, and make another leave, while it is being told") {
  EventHub hub;
  std::uint64_t one = 0, two = 0;
  int told = 0;
  const auto leave_both = [&](const EventHub::Event&) {
    ++told;
    hub.unsubscribe(one);
    hub.unsubscribe(two);
  };
  one = hub.subscribe(leave_both);
  two = hub.subscribe(leave_both);
  hub.publish("a");
  CHECK(told == 1);
  CHECK(hub.listeners() == 0);
}
