#include "replay/replay.h"

#include <catch2/catch.hpp>
#include <limits>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

BatchSpec batch() {
  BatchSpec spec;
  spec.name = "b";
  spec.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  return spec;
}

Reading gravity(int minute, double value, const std::string& sensor = "hydrometer") {
  return {batch().pitched + minutes(minute), sensor, Quantity::gravity, value};
}

}  // namespace

TEST_CASE("a reading that the journal has is not delivered again") {
  Replay replay(batch());
  CHECK(replay.deliver(gravity(30, 1.048)).curve.size() == 1);
  CHECK(replay.deliver(gravity(30, 1.048)).curve.empty());
  CHECK(replay.deliver(gravity(60, 1.0479)).curve.size() == 1);
  CHECK(replay.deliver(gravity(30, 1.048)).curve.empty());
  CHECK(replay.deliver(gravity(90, 1.0479)).curve.size() == 1);
}

TEST_CASE("a reading that the daemon refuses never reaches the judgement") {
  Replay replay(batch());
  const double refused = GENERATE(0.0, 1048.0, std::numeric_limits<double>::quiet_NaN(),
                                  std::numeric_limits<double>::infinity());
  Replay other(batch());
  other.deliver(gravity(60, refused));
  const auto after =
      other.deliver(gravity(30, 1.048)).curve;  // the clock has not moved to the refused row's time
  const auto plain = replay.deliver(gravity(30, 1.048)).curve;
  REQUIRE((after.size() == 1 && plain.size() == 1));
  CHECK(after[0].gravity.value == plain[0].gravity.value);
}
