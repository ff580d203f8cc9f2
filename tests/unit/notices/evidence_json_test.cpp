#include "notices/evidence_json.h"

#include <catch2/catch.hpp>
#include <limits>

using namespace gyle;

TEST_CASE("evidence survives the way through JSON, in order and to the last bit") {
  const Evidence evidence{{"gravity_sg", 1.0 / 3}, {"attenuation", 0.1}, {"start_time", 1772694000}};
  CHECK(parse_evidence(evidence_json(evidence)) == evidence);
}

TEST_CASE("values that JSON cannot hold are left out, and other JSON gives no evidence") {
  CHECK(evidence_json({{"a", std::numeric_limits<double>::quiet_NaN()}, {"b", 1}}) == R"({"b":1.0})");
  CHECK(parse_evidence("").empty());
  CHECK(parse_evidence("[1,2]").empty());
  CHECK(parse_evidence(R"({"a":"text","b":2})") == Evidence{{"b", 2}});
}
