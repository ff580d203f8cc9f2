#include "control/request_target.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a target is split first and decoded afterwards") {
  const auto target =
      parse_request_target("/v1/batches/Amber%201%2f2/curve?vessel=left+one%2B&x&time=a=b#part");
  REQUIRE(target);
  CHECK(target.value().segments == std::vector<std::string>{"v1", "batches", "Amber 1/2", "curve"});
  CHECK(target.value().query.at("vessel") == "left one+");
  CHECK(target.value().query.at("time") == "a=b");
  CHECK(target.value().query.at("x").empty());
  CHECK(parse_request_target("/").value().segments.empty());
}

TEST_CASE("an invalid target is refused") {
  for (const char* text : {"", "v1", "http://x/", "*", "/a%", "/a%4", "/a%zz", "/a?b=%g0", "/%-1"}) {
    CAPTURE(text);
    CHECK_FALSE(parse_request_target(text));
  }
}

// RFC 3986: section 2.1 gives %20 for the space, section 2.3 the unreserved characters.
TEST_CASE("all but unreserved characters are encoded, and decoded again") {
  CHECK(percent_encoded("a b") == "a%20b");
  CHECK(percent_encoded("AZaz09-._~") == "AZaz09-._~");
  CHECK(percent_encoded("/?#%") == "%2F%3F%23%25");
  std::string every = "<";
  for (int c = 1; c < 256; ++c) every += static_cast<char>(c);
  CHECK(parse_request_target(std::string("/").append(percent_encoded(every))).value().segments.front() ==
        every);
}
