#include "control/event_hub.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("every listener gets every event until it unsubscribes") {
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

TEST_CASE("a listener may unsubscribe itself and another during an event") {
  EventHub hub;
  std::uint64_t one = 0, two = 0;
  int calls = 0;
  const auto leave_both = [&](const EventHub::Event&) {
    ++calls;
    hub.unsubscribe(one);
    hub.unsubscribe(two);
  };
  one = hub.subscribe(leave_both);
  two = hub.subscribe(leave_both);
  hub.publish("a");
  CHECK(calls == 1);
  CHECK(hub.listeners() == 0);
}
