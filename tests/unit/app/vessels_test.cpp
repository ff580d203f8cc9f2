#include "app/vessels.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

Vessels two() {
  Vessel left{"Left", {"hydrometer", "probe"}};
  left.set_point = SetPointSettings{};
  return Vessels({left, {"right", {"probe-2"}}});
}

}  // namespace

TEST_CASE("a vessel may be written in any case") {
  CHECK(two().spelling("Left").value() == "Left");
  CHECK(two().spelling("left").value() == "Left");
  CHECK(two().spelling("RIGHT").value() == "right");
}

TEST_CASE("a vessel that is not there, or may be one of two, is refused with the names that there are") {
  const auto attic = two().spelling("attic");
  CHECK(attic.error().code == Errc::not_found);
  CHECK_THAT(attic.error().message, Contains("\"attic\"") && Contains("Left, right"));
  const Vessels alike({{"a", {}}, {"A", {}}});
  CHECK(alike.spelling("A").value() == "A");
  CHECK(Vessels({{"ab", {}}, {"AB", {}}}).spelling("Ab").error().code == Errc::not_found);
  CHECK_THAT(Vessels().spelling("left").error().message, Contains("[[vessel]]"));
}

TEST_CASE("a batch uses the sensors of its vessel, and what is measured by hand") {
  const auto sensors = two().sensors_of("Left");
  CHECK(sensors == std::vector<std::string>{hand_of("Left"), "hydrometer", "probe"});
  CHECK(is_hand(sensors[0]));
  CHECK_FALSE(is_hand("hydrometer"));
  CHECK(two().sensors_of("gone") == std::vector<std::string>{hand_of("gone")});
}

TEST_CASE("only a vessel with a thermostat has a rule for its set point") {
  const Vessels vessels = two();
  CHECK(vessels.set_point_rule("Left") != nullptr);
  CHECK(vessels.set_point_rule("right") == nullptr);
  CHECK(vessels.set_point_rule("gone") == nullptr);
}
