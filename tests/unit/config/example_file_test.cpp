#include <catch2/catch.hpp>
#include <fstream>
#include <set>
#include <sstream>

#include "config/read_file.h"
#include "config/settings_file.h"
#include "config/toml_value.h"
#include "support/places.h"

using namespace gyle;

namespace {

std::string as_shipped() { return read_file(gyle::test::source_dir() + "/config/gylekeeper.toml").value(); }

// The options without their "#"; prose begins with "# ".
std::string with_every_option() {
  std::istringstream lines(as_shipped());
  std::string text;
  for (std::string line; std::getline(lines, line);) {
    const bool option = line.size() > 1 && line[0] == '#' && line[1] != ' ';
    text += (option ? line.substr(1) : line) + "\n";
  }
  return text;
}

// Every key of a document, without indexes.
void keys_of(const TomlValue& value, const std::string& path, std::set<std::string>& keys) {
  if (!path.empty()) keys.insert(path);
  if (const auto* table = std::get_if<TomlValue::Table>(&value.is)) {
    for (const auto& [key, member] : *table) keys_of(member, path.empty() ? key : path + "." + key, keys);
  } else if (const auto* array = std::get_if<TomlValue::Array>(&value.is)) {
    for (const TomlValue& element : *array) keys_of(element, path, keys);
  }
}

}  // namespace

TEST_CASE("the configuration as shipped is all defaults") {
  const auto shipped = parse_settings(as_shipped(), "gylekeeper.toml");
  if (!shipped) FAIL(shipped.error().message);
  CHECK(shipped.value().sources.empty());
  CHECK(shipped.value().vessels.empty());
}

TEST_CASE("with every option switched on, the shown defaults are those of the program") {
  const auto settings = parse_settings(with_every_option(), "gylekeeper.toml");
  if (!settings) FAIL(settings.error().message);
  const Settings& shown = settings.value();
  const Settings own;
  CHECK(shown.display.gravity == own.display.gravity);
  CHECK(shown.display.temperature == own.display.temperature);
  CHECK(shown.display.volume == own.display.volume);
  CHECK(shown.display.time_zone == own.display.time_zone);
  CHECK(shown.mqtt.broker == own.mqtt.broker);
  CHECK(shown.mqtt.version == own.mqtt.version);
  CHECK(shown.mqtt.client_id == own.mqtt.client_id);
  CHECK(shown.mqtt.username == own.mqtt.username);
  CHECK(shown.mqtt.password_file == own.mqtt.password_file);
  CHECK(shown.mqtt.ca_file == own.mqtt.ca_file);
  CHECK(shown.mqtt.keep_alive == own.mqtt.keep_alive);
  CHECK(shown.mqtt.session_expiry == own.mqtt.session_expiry);
  CHECK(shown.ingest.readings_per_hour == own.ingest.readings_per_hour);
  CHECK(shown.storage.database == own.storage.database);
  CHECK(shown.storage.refusals_kept == own.storage.refusals_kept);
  CHECK(shown.control.socket == own.control.socket);
  CHECK(shown.control.mode == own.control.mode);
  CHECK(shown.page.enabled == own.page.enabled);
  CHECK(shown.page.address == own.page.address);
  CHECK(shown.page.port == own.page.port);
  CHECK(shown.page.token_file == own.page.token_file);
  CHECK(shown.page.certificate == own.page.certificate);
  CHECK(shown.page.key == own.page.key);
  CHECK(shown.page.hosts == own.page.hosts);
  CHECK(shown.homie.enabled == own.homie.enabled);
  CHECK(shown.homie.domain == own.homie.domain);
  CHECK(shown.homie.device == own.homie.device);
  CHECK(shown.mqtt.heartbeat_topic == own.mqtt.heartbeat_topic);
  CHECK(shown.mqtt.heartbeat == own.mqtt.heartbeat);
  CHECK(shown.alerts.calm.quiet.none());
  CHECK(own.alerts.calm.quiet.none());
  CHECK(shown.alerts.calm.urgent == own.alerts.calm.urgent);
  CHECK(shown.alerts.digest == own.alerts.digest);
  CHECK(shown.alerts.severities == own.alerts.severities);
  REQUIRE(shown.alerts.channels.size() == 4);
  for (const std::size_t i : {0U, 1U}) {
    CHECK(shown.alerts.channels[i].name == own.alerts.channels[i].name);
    CHECK(shown.alerts.channels[i].kind.index() == own.alerts.channels[i].kind.index());
  }
  CHECK(std::get<MqttChannelSettings>(shown.alerts.channels[1].kind).topic ==
        std::get<MqttChannelSettings>(own.alerts.channels[1].kind).topic);
  const ChannelSettings plain{"", {}, true, true, false, WebhookSettings{}};
  for (const std::size_t i : {2U, 3U}) {
    const ChannelSettings& channel = shown.alerts.channels[i];
    CHECK(channel.filter.at_least == plain.filter.at_least);
    CHECK(channel.reminders == plain.reminders);
    CHECK(channel.digest == plain.digest);
    CHECK(channel.one_by_one == plain.one_by_one);
  }
  const auto& webhook = std::get<WebhookSettings>(shown.alerts.channels[2].kind);
  CHECK(webhook.body == WebhookSettings().body);
  CHECK(webhook.content_type == WebhookSettings().content_type);
  CHECK(std::get<EmailSettings>(shown.alerts.channels[3].kind).picture == EmailSettings().picture);
  for (const Source& source : shown.sources) {
    for (const QuantityField& field : source.fields) {
      const QuantityField unscaled{field.quantity, "", field.unit};
      CHECK(field.scale == unscaled.scale);
      CHECK(field.offset == unscaled.offset);
    }
  }
}

TEST_CASE("the set point as shown has the defaults of the program, and limits that have none") {
  const auto settings = parse_settings(with_every_option(), "gylekeeper.toml");
  REQUIRE(settings.has_value());
  REQUIRE(settings.value().vessels.size() == 1);
  REQUIRE(settings.value().vessels[0].set_point.has_value());
  const SetPointSettings& shown = *settings.value().vessels[0].set_point;
  const SetPointSettings own;
  CHECK(shown.unit == own.unit);
  CHECK(shown.body == own.body);
  CHECK(shown.retained == own.retained);
  CHECK(shown.rule.automatic == own.rule.automatic);
  CHECK(shown.rule.resend == own.rule.resend);
  CHECK(shown.rule.least_pause == own.rule.least_pause);
  CHECK_FALSE(own.rule.lowest < own.rule.highest);
}

TEST_CASE("the file shows every key that the program reads, and no other") {
  std::set<std::string> read;
  REQUIRE(parse_settings(with_every_option(), "gylekeeper.toml", &read).has_value());
  std::set<std::string> shown;
  keys_of(parse_toml(with_every_option(), "gylekeeper.toml").value(), "", shown);
  for (const std::string& key : read) {
    CAPTURE(key);
    CHECK(shown.count(key) == 1);
  }
  CHECK(shown == read);
}
