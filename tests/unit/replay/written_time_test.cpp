#include "replay/written_time.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

// The moment, or the local time taken as if it were UTC.
std::string read(const char* text, const char* format, bool local) {
  const auto time = read_written_time(text, format);
  if (!time) return time.error().message;
  CHECK(time.value().local == local);
  return format_rfc3339(Time(time.value().since_1970));
}

}  // namespace

TEST_CASE("a time is read by its format") {
  struct Row {
    const char* text;
    const char* format;
    bool local;
    const char* expected;
  };
  const auto row = GENERATE(values<Row>({
      {"2026-03-01 18:30", "", true, "2026-03-01T18:30:00Z"},
      {"2026-03-01T18:30:07", "", true, "2026-03-01T18:30:07Z"},
      {"2026-03-01T18:30:00+01:00", "", false, "2026-03-01T17:30:00Z"},
      {"2026-03-01 18:30:00 -0500", "", false, "2026-03-01T23:30:00Z"},
      {"1.3.2026 7:05", "%d.%m.%Y %H:%M", true, "2026-03-01T07:05:00Z"},
      {"03/01/26 12:05 am", "%m/%d/%y %I:%M %p", true, "2026-03-01T00:05:00Z"},
      {"03/01/26 12:05 PM", "%m/%d/%y %I:%M %p", true, "2026-03-01T12:05:00Z"},
      {"01 MAR 2026   23:59:59.5", "%d %b %Y %H:%M:%S", true, "2026-03-01T23:59:59.500Z"},
      {"May 9 2026 08:00", "%b %d %Y %H:%M", true, "2026-05-09T08:00:00Z"},
      {"September 9 2026 08:00", "%b %d %Y %H:%M", true, "2026-09-09T08:00:00Z"},
      {"100 % 2026-02-28 10:00 Z", "100 %% %Y-%m-%d %H:%M %z", false, "2026-02-28T10:00:00Z"},
      // RFC 3339 section 5.8 has this moment; its seconds by `date -d 1996-12-20T00:39:57Z +%s`.
      {"851042397", "%s", false, "1996-12-20T00:39:57Z"},
      // 1 January 2000 is day 36526 of that calendar (1900 date system, as office programs count).
      {"36526", "day-number", true, "2000-01-01T00:00:00Z"},
      {"46082.770833333", "day-number", true, "2026-03-01T18:30:00Z"},
  }));
  CAPTURE(row.text, row.format);
  CHECK(read(row.text, row.format, row.local) == row.expected);
}

TEST_CASE("text that does not fit the format is refused") {
  struct Row {
    const char* text;
    const char* format;
  };
  const auto row = GENERATE(values<Row>({{"", ""},
                                         {"46082.77", ""},
                                         {"01.03.2026 18:30", ""},
                                         {"2026-02-29 18:30", ""},
                                         {"2026-03-01 24:30", ""},
                                         {"31.04.2026 18:30", "%d.%m.%Y %H:%M"},
                                         {"1.3.2026 7:05x", "%d.%m.%Y %H:%M"},
                                         {"1.13.2026 7:05", "%d.%m.%Y %H:%M"},
                                         {"1.3.2026 13:05 pm", "%d.%m.%Y %I:%M %p"},
                                         {"1.3.2026", "%d.%m.%Y %H:%M"},
                                         {"nan", "%s"},
                                         {"-5", "%s"},
                                         {"59", "day-number"},
                                         {"inf", "day-number"}}));
  CAPTURE(row.text, row.format);
  const auto time = read_written_time(row.text, row.format);
  REQUIRE_FALSE(time);
  CHECK(time.error().code == Errc::malformed);
}

TEST_CASE("a format must have a complete date and time") {
  CHECK(check_time_format(""));
  CHECK(check_time_format("day-number"));
  CHECK(check_time_format("%d.%m.%Y %H:%M"));
  CHECK(check_time_format("%s"));
  for (const char* format : {"%d.%m.%Y", "%H:%M", "%d.%m.%Y %I:%M", "%Q", "%", "DD.MM.YYYY"}) {
    CAPTURE(format);
    CHECK_FALSE(check_time_format(format));
  }
}
