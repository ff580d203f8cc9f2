#include "app/configuration_check.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "config/settings_file.h"
#include "support/temp_dir.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

ConfigurationCheck checked(const std::string& text, CheckDepth depth = CheckDepth::all) {
  const auto settings = parse_settings(text, "g.toml");
  if (!settings) FAIL(settings.error().message);
  return check_configuration(settings.value(), text, "g.toml", depth);
}

}  // namespace

TEST_CASE("files and hosts in a configuration are checked, each problem with its line and key") {
  test::TempDir dir;
  const std::string here = dir.path();
  std::ofstream(dir / "short") << "secret\n";
  const std::string text = "[mqtt]\nbroker = \"mqtt://broker.invalid\"\npassword_file = \"" + here +
                           "/absent\"\n[storage]\ndatabase = \"" + here +
                           "/none/journal.db\"\n[page]\ntoken_file = \"" + here +
                           "/short\"\n[[channel]]\nname = \"phone\"\nkind = \"webhook\"\nurl = "
                           "\"https://alerts.example.org/\"\ntoken_file = \"" +
                           here + "/token\"\n";
  const auto all = checked(text).problems;
  const auto has = [&](const char* begins, const char* says) {
    return std::any_of(all.begin(), all.end(), [&](const std::string& line) {
      return line.rfind(begins, 0) == 0 && line.find(says) != std::string::npos;
    });
  };
  CHECK(all.size() == 5);
  CHECK(has("g.toml:2: mqtt.broker: ", "is unknown"));
  CHECK(has("g.toml:3: mqtt.password_file: ", "No such file"));
  CHECK(has("g.toml:5: storage.database: ", "there is no folder"));
  CHECK(has("g.toml:7: page.token_file: ", "6 characters and needs 16"));
  CHECK(has("g.toml:12: channel[1].token_file: ", "No such file"));
  CHECK(checked(text, CheckDepth::needed).problems.size() == 2);
}

TEST_CASE("an empty configuration is valid, and outside of the unit a credential is noted") {
  CHECK(checked("").problems.empty());
  const auto named = checked("[mqtt]\npassword_file = \"mqtt-password-of-no-folder\"\n");
  CHECK(named.problems.empty());
  REQUIRE(named.notes.size() == 1);
  CHECK_THAT(named.notes[0], Contains("g.toml:2: mqtt.password_file: ") && Contains("credentials"));
}
