#include "clock/local_time.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "support/reference.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

const std::string kZone = "Europe/Zurich";

Time at(const char* text) { return parse_rfc3339(text).value(); }

std::string understood(std::string_view text, const char* now, TimeSense sense,
                       const std::string& zone = kZone) {
  const auto time = parse_local_time(text, at(now), zone, sense);
  return time ? format_rfc3339(time.value()) : time.error().message;
}

}  // namespace

TEST_CASE("a local time is converted as by the IANA database, the first when it occurs twice") {
  const auto sense = GENERATE(TimeSense::past, TimeSense::future);
  for (const auto& row : test::reference_json("local_times.json")) {
    CAPTURE(row.dump());
    const auto time = parse_local_time(row["local"].get<std::string>(), std::nullopt,
                                       row["zone"].get<std::string>(), sense);
    std::string shown = row["local"].get<std::string>() + ":12.500Z";
    shown[10] = 'T';
    const auto moment = moment_shown(at(shown.c_str()).time_since_epoch(), row["zone"].get<std::string>());
    REQUIRE(moment.has_value() == time.has_value());
    if (moment) CHECK(moment.value() == time.value() + Duration(12'500));
    if (row["kind"] == "missing") {
      REQUIRE_FALSE(time);
      CHECK(time.error().code == Errc::out_of_range);
    } else {
      REQUIRE(time);
      CHECK(format_rfc3339(time.value()) == row["utc"]);
    }
  }
}

// Zurich is at UTC+1 in winter and at UTC+2 from the last Sunday of March, 01:00 UTC, to the last of October
// (IANA tzdata, Rule EU). 2026-03-05 is a Thursday.
TEST_CASE("a missing date is today, the latest or the next match") {
  struct Row {
    const char* text;
    const char* past;
    const char* future;
  };
  const char* const now = "2026-03-05T17:00:00Z";  // 18:00
  const auto row = GENERATE(values<Row>({
      {"2026-03-05", "2026-03-04T23:00:00Z", "2026-03-04T23:00:00Z"},
      {"2026-07-01 09:05", "2026-07-01T07:05:00Z", "2026-07-01T07:05:00Z"},
      {"2026-03-05T18:30:00+05:00", "2026-03-05T13:30:00Z", "2026-03-05T13:30:00Z"},
      {"17:59", "2026-03-05T16:59:00Z", "2026-03-06T16:59:00Z"},
      {"18:00", "2026-03-05T17:00:00Z", "2026-03-06T17:00:00Z"},
      {"18:30", "2026-03-05T17:30:00Z", "2026-03-05T17:30:00Z"},  // today's, even where the past is meant
      {"saturday", "2026-02-27T23:00:00Z", "2026-03-06T23:00:00Z"},
      {"SAT 18:00", "2026-02-28T17:00:00Z", "2026-03-07T17:00:00Z"},
      {"thu", "2026-03-04T23:00:00Z", "2026-03-11T23:00:00Z"},
      {"Thu 17:00", "2026-03-05T16:00:00Z", "2026-03-12T16:00:00Z"},
      {"thursday 19:00", "2026-02-26T18:00:00Z", "2026-03-05T18:00:00Z"},
      {"wed 00:00", "2026-03-03T23:00:00Z", "2026-03-10T23:00:00Z"},
  }));
  CAPTURE(row.text);
  CHECK(understood(row.text, now, TimeSense::past) == row.past);
  CHECK(understood(row.text, now, TimeSense::future) == row.future);
}

TEST_CASE("the current day is the local one, not that of UTC") {
  CHECK(understood("00:10", "2026-03-04T23:30:00Z", TimeSense::past) == "2026-03-04T23:10:00Z");
  CHECK(understood("thu", "2026-03-04T23:30:00Z", TimeSense::past) == "2026-03-04T23:00:00Z");
  CHECK(understood("18:30", "2026-03-05T03:00:00Z", TimeSense::past, "America/New_York") ==
        "2026-03-04T23:30:00Z");
}

TEST_CASE("a change of the clocks between now and the time counts") {
  CHECK(understood("sun 18:00", "2026-03-28T12:00:00Z", TimeSense::future) == "2026-03-29T16:00:00Z");
  CHECK(understood("sat 18:00", "2026-03-29T12:00:00Z", TimeSense::past) == "2026-03-28T17:00:00Z");
  // 02:30 of 25 October occurs at 00:30 and at 01:30 UTC.
  CHECK(understood("02:30", "2026-10-25T00:00:00Z", TimeSense::future) == "2026-10-25T00:30:00Z");
  CHECK(understood("02:30", "2026-10-25T00:45:00Z", TimeSense::future) == "2026-10-26T01:30:00Z");
  CHECK(understood("sun 02:30", "2026-10-25T12:00:00Z", TimeSense::past) == "2026-10-25T00:30:00Z");
}

TEST_CASE("a time that clocks skip is an error that names the next valid one") {
  const char* const day_before = "2026-03-28T12:00:00Z";
  for (const char* text : {"2026-03-29 02:30", "02:30", "sun 02:30", "Sunday 02:00"}) {
    CAPTURE(text);
    CHECK_THAT(understood(text, day_before, TimeSense::future),
               Contains("2026-03-29 02:") && Contains("does not exist in Zurich time") &&
                   Contains("\"2026-03-29 03:00\""));
  }
  CHECK(understood("2026-03-29 03:00", day_before, TimeSense::future) == "2026-03-29T01:00:00Z");
  CHECK(understood("2026-03-29 01:59", day_before, TimeSense::future) == "2026-03-29T00:59:00Z");
  CHECK(understood("02:30", "2026-03-29T12:00:00Z", TimeSense::future) == "2026-03-30T00:30:00Z");
  // A day that begins at 01:00 (tzdata, Rule Brazil), and one that did not exist (tzdata, Zone Pacific/Apia).
  CHECK_THAT(understood("2018-11-04", day_before, TimeSense::past, "America/Sao_Paulo"),
             Contains("\"2018-11-04 01:00\""));
  CHECK_THAT(understood("2011-12-30 12:00", day_before, TimeSense::past, "Pacific/Apia"),
             Contains("\"2011-12-31 00:00\""));
}

TEST_CASE("what is not a time is refused, with examples") {
  const auto text = GENERATE(values<std::string>({"",
                                                  " ",
                                                  "now",
                                                  "18",
                                                  "24:00",
                                                  "18:60",
                                                  "1830",
                                                  "18:30 ",
                                                  " 18:30",
                                                  "18:30:00",
                                                  "2026-02-29",
                                                  "2026-13-01",
                                                  "2026-3-5",
                                                  "2026-03-05 ",
                                                  "2026-03-05  18:30",
                                                  "2026-03-05 24:00",
                                                  "2026-03-05 sat",
                                                  "2026-03-05T18:30",
                                                  "satur",
                                                  "sa",
                                                  "sat  18:00",
                                                  "sat 18",
                                                  "sat sun",
                                                  "18:30 sat",
                                                  "-1:30",
                                                  std::string("18:30\0", 6),
                                                  "s\xc3\xa4t",
                                                  "saturdays"}));
  CAPTURE(text);
  const auto time = parse_local_time(text, Time{}, kZone, TimeSense::past);
  REQUIRE_FALSE(time);
  CHECK(time.error().code == Errc::malformed);
  CHECK_THAT(time.error().message, Contains("sat 18:00"));
}

TEST_CASE("without a current time the date is required") {
  for (const char* text : {"18:30", "sat", "sat 18:00"}) {
    const auto time = parse_local_time(text, std::nullopt, kZone, TimeSense::past);
    REQUIRE_FALSE(time);
    CHECK(time.error().code == Errc::missing);
    CHECK_THAT(time.error().message, Contains(text) && Contains("2026-03-05 18:30"));
  }
}

TEST_CASE("an unknown zone is an error, unless the time has an offset") {
  CHECK(parse_local_time("18:30", Time{}, "Europe/Atlantis", TimeSense::past).error().code ==
        Errc::not_found);
  CHECK(parse_local_time("2026-03-05T18:30:00Z", Time{}, "Europe/Atlantis", TimeSense::past).has_value());
  CHECK(parse_local_time("18:30", Time{}, machine_time_zone(), TimeSense::past).has_value());
}
