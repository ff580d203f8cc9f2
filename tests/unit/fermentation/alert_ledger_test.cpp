#include "fermentation/alert_ledger.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("an alert is raised once, withdrawn once, and counted when it comes again") {
  AlertLedger ledger;
  std::vector<Decision> out;
  const Time time{hours(1)};
  ledger.raise(time, AlertKind::sensor_silent, {}, out, "hydrometer");
  ledger.raise(time, AlertKind::sensor_silent, {}, out, "hydrometer");
  ledger.raise(time, AlertKind::sensor_silent, {}, out, "probe");
  ledger.withdraw(time, AlertKind::sensor_silent, {}, out, "hydrometer");
  ledger.withdraw(time, AlertKind::sensor_silent, {}, out, "hydrometer");
  ledger.raise(time, AlertKind::sensor_silent, {}, out, "hydrometer");
  ledger.raise(time, AlertKind::step_due, {}, out, {}, 1);
  ledger.raise(time, AlertKind::step_due, {}, out, {}, 2);
  REQUIRE(out.size() == 6);
  CHECK(out[0].occurrence == 1);
  CHECK(out[1].sensor == "probe");
  CHECK(out[2].state == Decision::State::withdrawn);
  CHECK(out[3].occurrence == 2);
  CHECK(out[3].sensor == "hydrometer");
  CHECK(out[5].step == 2);
  CHECK(out[5].occurrence == 1);
  CHECK(ledger.is_open(AlertKind::sensor_silent, "hydrometer"));
}
