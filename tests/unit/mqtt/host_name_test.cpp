#include "mqtt/host_name.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a host is a name or an address") {
  CHECK(host_name_of("mqtt://broker.local:1883") == "broker.local");
  CHECK(host_name_of("mqtts://localhost") == "localhost");
  CHECK_FALSE(host_name_of("mqtt://192.0.2.7"));  // RFC 5737
  CHECK_FALSE(host_name_of("mqtts://192.0.2.7:8883"));
  CHECK_FALSE(host_name_of("mqtt://[2001:db8::7]:1883"));  // RFC 3849
}

TEST_CASE("a name that nobody knows is reported with its name") {
  const auto known = check_host_known("mqtt://broker.invalid");  // never to be resolved: RFC 6761 section 6.4
  REQUIRE_FALSE(known);
  CHECK(known.error().code == Errc::unavailable);
  CHECK_THAT(known.error().message, Catch::Contains("the name \"broker.invalid\" is unknown"));
  CHECK(check_host_known("mqtt://192.0.2.7"));
}
