#include "tool_settings.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "support/temp_dir.h"

using namespace gyle;

TEST_CASE("the socket is the one asked for, else the configured one") {
  const test::TempDir dir;
  std::ofstream(dir / "g.toml") << "[control]\nsocket = \"/run/other.sock\"\n";
  CommonOptions common;
  common.config = dir / "g.toml";
  CHECK(control_socket(common).value() == "/run/other.sock");
  common.socket = "/run/mine.sock";
  CHECK(control_socket(common).value() == "/run/mine.sock");
}

TEST_CASE("a configuration that was asked for must exist and be valid") {
  const test::TempDir dir;
  CommonOptions common;
  common.config = dir / "absent.toml";
  CHECK_FALSE(tool_settings(common));
  std::ofstream(dir / "broken.toml") << "[control]\nsocket = 5\n";
  common.config = dir / "broken.toml";
  const auto broken = tool_settings(common);
  REQUIRE_FALSE(broken);
  CHECK_THAT(broken.error().message, Catch::Contains("broken.toml:2"));
}

TEST_CASE("the brewer's time zone is the configured one") {
  const test::TempDir dir;
  std::ofstream(dir / "g.toml") << "[display]\ntime_zone = \"America/New_York\"\n";
  CommonOptions common;
  common.config = dir / "g.toml";
  CHECK(brewers_time_zone(common).value() == "America/New_York");
  common.config = dir / "absent.toml";
  CHECK_FALSE(brewers_time_zone(common));
}
