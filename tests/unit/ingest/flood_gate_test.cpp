#include "ingest/flood_gate.h"

#include <catch2/catch.hpp>

using namespace gyle;

namespace {

constexpr std::int64_t kPerHour = 3600;
const Time kNoon{seconds(1'772'020'800)};

struct Flow {
  FloodGate gate{kPerHour};
  Time now = kNoon;

  // `count` readings of `sensor`, `apart` from each other; how many of them were taken.
  int send(const std::string& sensor, int count, Duration apart, bool backlog = false) {
    int taken = 0;
    for (int i = 0; i < count; ++i) {
      if (gate.admit(sensor, now, backlog)) ++taken;
      now += apart;
    }
    return taken;
  }
};

}  // namespace

TEST_CASE("a sensor that floods is held to its limit, and costs the others nothing") {
  Flow flow;
  int flood = 0;
  int probe = 0;
  for (int minute = 0; minute < 120; ++minute) {
    flood += flow.send("flood", 60'000, Duration(1));
    probe += flow.send("probe", 1, Duration(0));
  }
  CHECK(probe == 120);
  CHECK(flood >= 2 * kPerHour);
  CHECK(flood <= 3 * kPerHour + 1);  // an hour's worth at once, then by the hour
}

TEST_CASE("a sensor at its limit loses nothing") {
  Flow flow;
  CHECK(flow.send("probe", 50'000, seconds(1)) == 50'000);
}

TEST_CASE("a backlog of weeks that comes at once is never thinned") {
  constexpr int kThreeWeeks = 21 * 24 * kPerHour;
  SECTION("of a sensor heard before, whether it looks like a backlog or not") {
    const bool backlog = GENERATE(true, false);
    Flow flow;
    REQUIRE(flow.send("probe", 100, minutes(1)) == 100);
    flow.now += days(21);
    CHECK(flow.send("probe", kThreeWeeks, Duration(0), backlog) == kThreeWeeks);
  }
  SECTION("of one heard in an earlier run") {
    Flow flow;
    flow.gate.heard("probe", kNoon - days(21));
    CHECK(flow.send("probe", kThreeWeeks, Duration(0)) == kThreeWeeks);
  }
  SECTION("of one that was never heard") {
    Flow flow;
    CHECK(flow.send("probe", kThreeWeeks, Duration(0), true) == kThreeWeeks);
  }
}

TEST_CASE("after a backlog a flood is bounded, too") {
  Flow flow;
  flow.gate.heard("probe", kNoon - hours(10));
  CHECK(flow.send("probe", 100 * kPerHour, Duration(0), true) == 10 * kPerHour);
}

TEST_CASE("every refused reading is counted, and reported once a minute") {
  Flow flow;
  std::int64_t reported = 0;
  int reports = 0;
  int begun = 0;
  for (int i = 0; i < 300'000; ++i) {  // five minutes
    if (const auto count = flow.gate.to_report("flood", flow.now); count > 0) {
      reported += count;
      ++reports;
      if (flow.gate.begins("flood")) ++begun;
    }
    flow.now += Duration(1);
  }
  CHECK(reports == 5);
  CHECK(begun == 1);
  CHECK(reported == 240'001);  // the last minute comes with the next
  flow.now += hours(2);
  CHECK(flow.gate.to_report("flood", flow.now) == 60'000);
  CHECK(flow.gate.begins("flood"));
}

TEST_CASE("a clock that is set back refuses nothing that keeps to the limit") {
  Flow flow;
  REQUIRE(flow.send("probe", 100, seconds(1)) == 100);
  flow.now -= days(20);
  CHECK(flow.send("probe", 10'000, seconds(1)) == 10'000);
}

TEST_CASE("any number of sensors takes bounded memory") {
  Flow flow;
  for (int i = 0; i < 50'000; ++i) CHECK(flow.gate.admit("sensor-" + std::to_string(i), flow.now, false));
}
