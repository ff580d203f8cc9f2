#include "notices/endpoint.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("an address is parsed, and only scheme and host are shown") {
  const auto address =
      parse_endpoint("HTTPS://alerts.example.org:8443/hook/s3cret?key=x", {"http", "https"}).value();
  CHECK(address.scheme == "https");
  CHECK(address.authority == "alerts.example.org:8443");
  CHECK(address.has_port);
  CHECK(address.rest == "/hook/s3cret?key=x");
  CHECK(address.shown() == "https://alerts.example.org:8443");
  CHECK_FALSE(parse_endpoint("http://[::1]/", {"http"}).value().has_port);
  CHECK(parse_endpoint("http://[::1]:80", {"http"}).value().has_port);
}

TEST_CASE("an invalid address is refused and not repeated") {
  const auto* text =
      GENERATE("", "alerts.example.org", "ftp://h/s3cret", "https://", "https:///s3cret",
               "https://u:s3cret@h/", "https://h:0/", "https://h:70000/", "https://h:port/s3cret",
               "https://h/a b s3cret", "https://h/\ns3cret", "https://h\xc3\xa4/s3cret",
               "https://[::1/s3cret", "https:/h/s3cret", "https:h/s3cret", "http://[fe80::1%25s3cret]/");
  CAPTURE(text);
  const auto address = parse_endpoint(text, {"http", "https"});
  REQUIRE_FALSE(address.has_value());
  CHECK(address.error().code == Errc::malformed);
  CHECK(address.error().message.find("s3cret") == std::string::npos);
}
