#include <catch2/catch.hpp>
#include <fstream>

#include "app/service.h"
#include "support/temp_dir.h"

using namespace gyle;

namespace {

void write(const std::filesystem::path& file, const std::string& text) { std::ofstream(file) << text; }

}  // namespace

TEST_CASE("the broker's password comes from a file, without its line end") {
  test::TempDir dir;
  write(dir.path() / "secret", "hop sack\n");
  MqttSettings settings;
  settings.password_file = dir.path() / "secret";
  CHECK(broker_password(settings, "").value() == "hop sack");
  settings.password_file = dir.path() / "absent";
  CHECK_FALSE(broker_password(settings, "").has_value());
}

TEST_CASE("without a file of its own it is systemd's credential, which may be empty or absent") {
  test::TempDir dir;
  CHECK(broker_password({}, dir.path()).value().empty());
  write(dir.path() / "mqtt-password", "");
  CHECK(broker_password({}, dir.path()).value().empty());
  write(dir.path() / "mqtt-password", "mash\r\n");
  CHECK(broker_password({}, dir.path()).value() == "mash");
  write(dir.path() / "other", "lauter");
  MqttSettings named;
  named.password_file = "other";
  CHECK(broker_password(named, dir.path()).value() == "lauter");
}
