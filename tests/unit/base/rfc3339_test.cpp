#include "base/rfc3339.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/reference.h"

using gyle::format_rfc3339;
using gyle::parse_rfc3339;

namespace {

nlohmann::json vectors(const char* group) { return gyle::test::reference_json("rfc3339.json")[group]; }

}  // namespace

// Vectors: RFC 3339 section 5.8 and its grammar (tests/reference/rfc3339.json).
TEST_CASE("times that RFC 3339 allows are read to the millisecond") {
  for (const auto& row : vectors("valid")) {
    const std::string text = row["text"];
    CAPTURE(text);
    const auto parsed = parse_rfc3339(text);
    REQUIRE(parsed.has_value());
    CHECK(static_cast<double>(parsed.value().time_since_epoch().count()) ==
          Approx(std::round(row["unix"].get<double>() * 1000)).margin(0.5));
    CHECK(parse_rfc3339(format_rfc3339(parsed.value())).value() == parsed.value());
  }
}

TEST_CASE("times that RFC 3339 forbids are refused") {
  for (const std::string text : vectors("invalid")) {
    CAPTURE(text);
    CHECK_FALSE(parse_rfc3339(text).has_value());
  }
  for (const std::string text : {"", "2023", "2023-01-01T00:00:00+24:00", "2023-01-01T00:00:00+00:60",
                                 "2023-01-01T00:00:00Zx", "2023-13-01T00:00:00Z", "2023-00-10T00:00:00Z"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_rfc3339(text).has_value());
  }
}

TEST_CASE("a leap second is read as the second after it") {
  for (const std::string text : vectors("leap_second")) {
    CAPTURE(text);
    CHECK(parse_rfc3339(text).value() == parse_rfc3339("1991-01-01T00:00:00Z").value());
  }
}

TEST_CASE("a time is written with a fraction only when it has one") {
  CHECK(format_rfc3339(gyle::Time(gyle::Duration(482196050520))) == "1985-04-12T23:20:50.520Z");
  CHECK(format_rfc3339(gyle::Time(gyle::Duration(0))) == "1970-01-01T00:00:00Z");
}
