#include "app/sample_check.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;
using Catch::Matchers::Contains;

TEST_CASE("a sample that cannot be of this beer is refused with a reason") {
  BatchSpec batch;
  batch.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  batch.original_gravity = SpecificGravity::unchecked(1.048);
  const Time now = batch.pitched + days(5);
  const auto check = [&](double gravity, Time taken) {
    return check_sample(batch, SpecificGravity::unchecked(gravity), taken, now, {});
  };
  CHECK(check(1.020, now).has_value());
  CHECK(check(1.051, batch.pitched).has_value());
  CHECK_THAT(check(1.0512, now).error().message, Contains("1.048"));
  CHECK_THAT(check(1.020, now + minutes(1)).error().message, Contains("future"));
  CHECK_THAT(check(1.020, batch.pitched - minutes(1)).error().message, Contains("Sun 1 Mar 18:30"));
  // A hydrometer that reads low would make the true gravity look impossible.
  batch.original_gravity.reset();
  CHECK(check(1.090, now).has_value());
}
