#include "mqtt/subscriptions.h"

#include <catch2/catch.hpp>

using namespace gyle;

// The topics of the examples in MQTT 5.0 section 4.7.1.
TEST_CASE("one filter covers another") {
  struct Row {
    const char* a;
    const char* b;
    bool covers;
  };
  const auto row = GENERATE(values<Row>({
      {"sport/tennis/player1/#", "sport/tennis/player1", true},
      {"sport/tennis/player1/#", "sport/tennis/player1/score/+", true},
      {"sport/tennis/+", "sport/tennis/player1", true},
      {"sport/tennis/+", "sport/tennis/player1/ranking", false},
      {"sport/+", "sport", false},
      {"sport/+", "sport/", true},
      {"#", "+/monitor/#", true},
      {"+/+", "/finance", true},
      {"/+", "/finance", true},
      {"+", "/finance", false},
      {"sport/+/player1", "sport/#", false},
      {"sport/+", "sport/#", false},
      {"sport/#", "sport/+/#", true},
      {"sport/player1", "sport/+", false},
      {"#", "$SYS/uptime", false},
      {"+/monitor", "$SYS/monitor", false},
      {"$SYS/#", "$SYS/monitor/+", true},
  }));
  CAPTURE(row.a, row.b);
  CHECK(covers(row.a, row.b) == row.covers);
}

TEST_CASE("covered filters are left out, whatever the order") {
  CHECK(without_covered({"cellar/hydrometer-1", "cellar/#", "cellar/+/gravity", "attic/+"}) ==
        std::vector<std::string>{"cellar/#", "attic/+"});
  CHECK(without_covered({"a/+", "+/b"}) == std::vector<std::string>{"a/+", "+/b"});
  CHECK(without_covered({"a/b", "a/b"}) == std::vector<std::string>{"a/b"});
  CHECK(without_covered({}).empty());
}
