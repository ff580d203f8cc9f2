#include "fermentation/warmth_ahead.h"

#include <catch2/catch.hpp>

using namespace gyle;

// Worked by hand: now is hour 100 with 80 thermal hours done; 1 a hour now, 2 a hour once the step is due.
TEST_CASE("the future follows the plan until the supposed hold begins") {
  const WarmthAhead plan{100, 80, 1.0, 2.0, 0, {}, {}};
  CHECK(plan.hour_of(90, 100) == Approx(110));
  CHECK(plan.hour_of(120, 100) == Approx(130));  // 20 h to the step, 20 thermal hours at 2
  CHECK(plan.hour_of(120, 50) == Approx(120));   // the step is overdue

  struct Row {
    const char* name;
    double from_h, speed, thermal_h, hour;
  };
  const auto row = GENERATE(values<Row>({
      {"at once", 100, 4, 120, 110},
      {"before the step", 110, 4, 120, 117.5},
      {"after the step", 125, 4, 150, 135},
      {"reached before the hold begins", 115, 4, 90, 110},
      {"cooler", 110, 0.5, 120, 170},
  }));
  CAPTURE(row.name);
  WarmthAhead supposed = plan;
  supposed.supposed = {row.from_h, row.speed};
  CHECK(supposed.hour_of(row.thermal_h, 100) == Approx(row.hour));
}

TEST_CASE("a step takes time, of the brewer and of the vessel") {
  WarmthAhead plan{100, 80, 1.0, 2.0, 8, {}, {}};
  CHECK(plan.hour_of(90, 100) == Approx(110));
  CHECK(plan.hour_of(105, 100) == Approx(125));  // due at hour 120, carried out at 128
  CHECK(plan.hour_of(120, 100) == Approx(134));  // 28 by then, 12 at 2
  SECTION("a step that is due already is under way") {
    plan = {100, 80, 1.0, 2.0, 0, WarmthAhead::Change{105, 2.0}, {}};
    CHECK(plan.hour_of(84, 1e5) == Approx(104));
    CHECK(plan.hour_of(95, 1e5) == Approx(110));
  }
}
