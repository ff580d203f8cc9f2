#include "notices/quiet_hours.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Time at(const char* text) { return parse_rfc3339(text).value(); }

constexpr const char* kZone = "Europe/Berlin";

std::string end_of(const char* hours, const char* time, const char* zone = kZone) {
  const auto end = quiet_until(parse_quiet_hours(hours).value(), at(time), zone);
  return end ? format_rfc3339(*end) : "not quiet";
}

}  // namespace

TEST_CASE("quiet hours may span midnight") {
  CHECK(end_of("22:00-07:00", "2026-01-15T20:59:00Z") == "not quiet");
  CHECK(end_of("22:00-07:00", "2026-01-15T21:00:00Z") == "2026-01-16T06:00:00Z");
  CHECK(end_of("22:00-07:00", "2026-01-16T05:59:00Z") == "2026-01-16T06:00:00Z");
  CHECK(end_of("22:00-07:00", "2026-01-16T06:00:00Z") == "not quiet");
  CHECK(end_of("13:00-15:00", "2026-01-16T12:30:00Z") == "2026-01-16T14:00:00Z");
  CHECK(end_of("13:00-15:00", "2026-01-16T14:00:00Z") == "not quiet");
  CHECK(end_of("", "2026-01-16T00:00:00Z") == "not quiet");
}

// IANA time zone database, Europe/Berlin: CET until 29 March 2026 01:00 UTC, CEST until 25 October 01:00 UTC.
TEST_CASE("local time counts on the days when clocks change") {
  CHECK(end_of("22:00-07:00", "2026-03-28T23:00:00Z") == "2026-03-29T05:00:00Z");  // an hour shorter
  CHECK(end_of("22:00-07:00", "2026-10-24T23:00:00Z") == "2026-10-25T06:00:00Z");  // an hour longer
  CHECK(end_of("22:00-02:30", "2026-03-28T23:00:00Z") == "2026-03-29T01:00:00Z");  // 02:30 does not exist
  CHECK(end_of("01:00-02:30", "2026-10-24T23:30:00Z") == "2026-10-25T00:30:00Z");  // 02:30 occurs twice
}

TEST_CASE("an unknown zone means UTC") {
  CHECK(end_of("22:00-07:00", "2026-01-15T22:30:00Z", "No/Where") == "2026-01-16T07:00:00Z");
}

TEST_CASE("the latest time of day is today's or yesterday's") {
  const auto half_past_seven = parse_time_of_day("07:30").value();
  CHECK(format_rfc3339(last_time_of_day(half_past_seven, at("2026-01-16T06:30:00Z"), kZone)) ==
        "2026-01-16T06:30:00Z");
  CHECK(format_rfc3339(last_time_of_day(half_past_seven, at("2026-01-16T06:29:00Z"), kZone)) ==
        "2026-01-15T06:30:00Z");
  CHECK(format_rfc3339(last_time_of_day(half_past_seven, at("2026-03-29T12:00:00Z"), kZone)) ==
        "2026-03-29T05:30:00Z");
}

TEST_CASE("what is not a time of day or a range of hours is refused") {
  for (const char* text : {"7:30", "24:00", "07:60", "0730", "ab:cd", "07:30 "}) {
    CAPTURE(text);
    CHECK_FALSE(parse_time_of_day(text).has_value());
  }
  for (const char* text : {"22:00", "22:00-", "-07:00", "22:00 - 07:00", "night"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_quiet_hours(text).has_value());
  }
}
