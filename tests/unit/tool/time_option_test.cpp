#include "time_option.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"
#include "served_socket.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

// A daemon that has this time, in New York: at UTC-5 in March until the second Sunday, the 8th of 2026, then
// at UTC-4 (IANA tzdata, Rule US).
HttpHandler with_clock(std::string now) {
  return [now = std::move(now)](const HttpRequest& request) {
    CHECK(request.target == "/v1/status");
    return HttpResponse{
        .body = R"({"daemon": {"now": ")" + now +
                R"(", "time_zone": "America/New_York", "broker": "", "broker_connected": true}})"};
  };
}

}  // namespace

TEST_CASE("a time is read by the daemon's clock and in its time zone") {
  const test::TempDir dir;
  const test::Daemon daemon(dir / "s", with_clock("2026-03-06T03:00:00Z"));  // Thursday, 22:00
  const ControlClient client(dir / "s");
  CHECK(time_query("18:30", TimeSense::past, client).value() == "2026-03-05T23:30:00Z");
  CHECK(time_query("18:30", TimeSense::future, client).value() == "2026-03-06T23:30:00Z");
  CHECK(time_query("sun 18:00", TimeSense::future, client).value() == "2026-03-08T22:00:00Z");
  CHECK(time_query("sun 18:00", TimeSense::past, client).value() == "2026-03-01T23:00:00Z");
  CHECK(time_query("soon", TimeSense::future, client).error().code == Errc::malformed);
  CHECK_FALSE(time_query(std::nullopt, TimeSense::past, client).value());
}

TEST_CASE("a daemon that has no time yet needs the date") {
  const test::TempDir dir;
  const test::Daemon daemon(dir / "s", with_clock("1970-01-01T00:00:00Z"));
  const ControlClient client(dir / "s");
  CHECK_FALSE(ask_daemon(client).value().now);
  CHECK(time_query("18:30", TimeSense::past, client).error().code == Errc::missing);
  CHECK(time_query("2026-03-05 18:30", TimeSense::past, client).value() == "2026-03-05T23:30:00Z");
}

TEST_CASE("a time with its offset asks nobody") {
  const ControlClient nobody("/nowhere/s");
  CHECK(time_query("2026-03-05T18:30:00+01:00", TimeSense::past, nobody).value() == "2026-03-05T17:30:00Z");
  CHECK(time_query("18:30", TimeSense::past, nobody).error().code == Errc::unavailable);
}
