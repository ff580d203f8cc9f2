#include "reports/csv.h"

#include <catch2/catch.hpp>
#include <limits>

using gyle::csv_number;
using gyle::csv_record;
using gyle::csv_time;
using gyle::Duration;
using gyle::Time;

// RFC 4180 section 2, rules 1, 6 and 7, with their examples.
TEST_CASE("fields are quoted as RFC 4180 requires") {
  CHECK(csv_record({"aaa", "bbb", "ccc"}) == "aaa,bbb,ccc\r\n");
  CHECK(csv_record({"aaa", "b\r\nbb", "ccc"}) == "aaa,\"b\r\nbb\",ccc\r\n");
  CHECK(csv_record({"aaa", "b\"bb", "ccc"}) == "aaa,\"b\"\"bb\",ccc\r\n");
  CHECK(csv_record({"a,b", " c "}) == "\"a,b\", c \r\n");
  CHECK(csv_record({"", ""}) == ",\r\n");
}

TEST_CASE("numbers have a fixed number of decimals, and an absent one is an empty field") {
  CHECK(csv_number(1.04799996, 5) == "1.04800");
  CHECK(csv_number(-0.004, 2) == "0.00");
  CHECK(csv_number(-0.006, 2) == "-0.01");
  CHECK(csv_number(std::nullopt, 2).empty());
  CHECK(csv_number(std::numeric_limits<double>::quiet_NaN(), 2).empty());
  CHECK(csv_number(-std::numeric_limits<double>::infinity(), 2).empty());
}

TEST_CASE("times are rounded to the second, and an impossible time is left empty") {
  const auto ms = [](std::int64_t n) { return Time(Duration(n)); };
  CHECK(csv_time(ms(1772389800'000)) == "2026-03-01T18:30:00Z");  // date -u -d 2026-03-01T18:30:00Z +%s
  CHECK(csv_time(ms(1772389799'600)) == "2026-03-01T18:30:00Z");
  CHECK(csv_time(ms(0)) == "1970-01-01T00:00:00Z");
  CHECK(csv_time(ms(253402300799'000)) == "9999-12-31T23:59:59Z");
  CHECK(csv_time(ms(253402300799'500)).empty());
  CHECK(csv_time(Time::max()).empty());
  CHECK(csv_time(Time::min()).empty());
}

// The characters of the OWASP page on CSV Injection, those in full width among them.
TEST_CASE("text that a spreadsheet could take for a formula is escaped") {
  for (const char* text :
       {"=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\uff1d1", "\uff0b1", "\uff0d1", "\uff201"}) {
    CAPTURE(text);
    CHECK(gyle::csv_text(text) == std::string("'") + text);
  }
  CHECK(gyle::csv_text("Amber no. 12 = 2") == "Amber no. 12 = 2");
  CHECK(gyle::csv_text("").empty());
  // Quoting comes after it: the apostrophe is inside.
  CHECK(csv_record({gyle::csv_text("=HYPERLINK(\"x\",1)")}) == "\"'=HYPERLINK(\"\"x\"\",1)\"\r\n");
}
