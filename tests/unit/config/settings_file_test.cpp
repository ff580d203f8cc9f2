#include "config/settings_file.h"

#include <catch2/catch.hpp>
#include <fstream>

using namespace gyle;

namespace {

constexpr const char* kSource =
    "[[source]]\ntopic = \"cellar/+/state\"\nformat = \"json\"\nsensor = { level = 1 }\n";

}  // namespace

TEST_CASE("an empty configuration has every default") {
  const auto settings = parse_settings("", "gylekeeper.toml");
  REQUIRE(settings.has_value());
  CHECK(settings.value().mqtt.broker == MqttSettings{}.broker);
  CHECK(settings.value().sources.empty());
}

TEST_CASE("every option is read") {
  const auto settings = parse_settings(R"(
[display]
gravity = "P"
temperature = "F"
volume = "gal"
time_zone = "Europe/Zurich"
[mqtt]
broker = "mqtts://[fe80::1]:8884"
version = 3
client_id = "cellar"
username = "brewer"
password_file = "broker-password"
ca_file = "/etc/ca.pem"
keep_alive = "1 min"
session_expiry = "3 weeks"
[ingest]
readings_per_hour = 9000

[storage]
database = "/tmp/j.db"
refusals_kept = 50
[control]
socket = "/tmp/c.sock"
mode = "0600"
[homie]
enabled = true
domain = "house"
device = "cellar-2"

[page]
enabled = true
listen = "[::]:9000"
token_file = "page-token"
certificate = "/etc/cellar.pem"
key = "/etc/cellar.key"
hosts = ["Cellar.local"]
[alerts]
quiet_hours = "22:30-07:00"
urgent = "error"
severities = ["stuck: critical", "broker-lost: notice"]
digest = "07:30"
[[channel]]
name = "home"
kind = "mqtt"
topic = "home/beer"
[[channel]]
name = "phone"
kind = "webhook"
url = "https://alerts.example.org/beer"
headers = ["Subject: {title}"]
body = "{text}"
token_file = "token"
at_least = "warning"
alerts = ["stuck", "broker-lost"]
vessels = ["bucket"]
reminders = false
[[channel]]
name = "mail"
kind = "e-mail"
server = "smtps://mail.example.org"
from = "cellar@example.org"
to = ["brewer@example.org", "friend@example.org"]
username = "cellar"
password_file = "/etc/mail-password"
picture = false
[[source]]
topic = "senml/#"
[[source]]
topic = "cellar/+/state"
format = "json"
sensor = { pointer = "/id" }
time = { pointer = "/at", as = "epoch-ms" }
[source.gravity]
pointer = "/sg"
unit = "P"
scale = 0.1
offset = -1
[source.inclination]
pointer = "/inclination"
unit = "deg"
[[source]]
topic = "probes/#"
format = "number"
sensor = { level = 4 }
beer_temperature = { unit = "[degF]" }
[[vessel]]
name = "bucket"
sensors = ["hydrometer-1", "urn:dev:p"]
[[vessel]]
name = "keg"
sensors = []
)",
                                       "gylekeeper.toml");
  if (!settings) FAIL(settings.error().message);
  const Settings& s = settings.value();
  CHECK(s.display.gravity == DisplaySettings::Gravity::plato);
  CHECK(s.display.temperature == DisplaySettings::Temperature::fahrenheit);
  CHECK(s.display.volume == DisplaySettings::Volume::us_gallons);
  CHECK(s.display.time_zone == "Europe/Zurich");
  CHECK(s.mqtt.broker == "mqtts://[fe80::1]:8884");
  CHECK(s.mqtt.version == 3);
  CHECK(s.mqtt.client_id == "cellar");
  CHECK(s.mqtt.username == "brewer");
  CHECK(s.mqtt.password_file == "broker-password");
  CHECK(s.mqtt.ca_file == "/etc/ca.pem");
  CHECK(s.mqtt.keep_alive == minutes(1));
  CHECK(s.mqtt.session_expiry == days(21));
  CHECK(s.storage.database == "/tmp/j.db");
  CHECK(s.ingest.readings_per_hour == 9000);
  CHECK(s.storage.refusals_kept == 50);
  CHECK(s.control.socket == "/tmp/c.sock");
  CHECK(s.control.mode == 0600);
  CHECK(s.homie.enabled);
  CHECK(s.homie.domain == "house");
  CHECK(s.homie.device == "cellar-2");
  CHECK(s.page.address == "::");
  CHECK(s.page.port == 9000);
  CHECK(s.page.token_file == "page-token");
  CHECK(s.page.certificate == "/etc/cellar.pem");
  CHECK(s.page.key == "/etc/cellar.key");
  CHECK(s.page.hosts == std::vector<std::string>{"cellar.local"});
  CHECK(s.page.url() == "https://localhost:9000/");
  CHECK(s.alerts.calm.quiet.from == std::chrono::minutes(22 * 60 + 30));
  CHECK(s.alerts.calm.quiet.until == std::chrono::minutes(7 * 60));
  CHECK(s.alerts.calm.urgent == Severity::error);
  CHECK(s.alerts.severities.at("stuck") == Severity::critical);
  CHECK(s.alerts.severities.at("broker-lost") == Severity::notice);
  CHECK(s.alerts.digest == std::chrono::minutes(7 * 60 + 30));
  REQUIRE(s.alerts.channels.size() == 3);
  CHECK(std::get<MqttChannelSettings>(s.alerts.channels[0].kind).topic == "home/beer");
  CHECK_FALSE(s.alerts.channels[0].for_people());
  const ChannelSettings& phone = s.alerts.channels[1];
  CHECK(phone.for_people());
  const auto& webhook = std::get<WebhookSettings>(phone.kind);
  CHECK(webhook.url == "https://alerts.example.org/beer");
  CHECK(webhook.headers == std::vector<std::string>{"Subject: {title}"});
  CHECK(webhook.body == "{text}");
  CHECK(webhook.token_file == "token");
  CHECK_FALSE(phone.reminders);
  CHECK(phone.digest);
  CHECK(phone.filter.takes(Severity::warning, "stuck", "bucket", "any"));
  CHECK(phone.filter.takes(Severity::error, "broker-lost", "", ""));
  CHECK_FALSE(phone.filter.takes(Severity::notice, "stuck", "bucket", "any"));
  CHECK_FALSE(phone.filter.takes(Severity::warning, "step-due", "bucket", "any"));
  CHECK_FALSE(phone.filter.takes(Severity::warning, "stuck", "right", "any"));
  const auto& mail = std::get<EmailSettings>(s.alerts.channels[2].kind);
  CHECK(mail.server == "smtps://mail.example.org");
  CHECK(mail.to.size() == 2);
  CHECK(mail.username == "cellar");
  CHECK_FALSE(mail.picture);
  REQUIRE(s.sources.size() == 3);
  CHECK(s.sources[0].format == Source::Format::senml);
  CHECK_FALSE(s.sources[0].sensor.has_value());
  const Source& json = s.sources[1];
  CHECK(json.filter == "cellar/+/state");
  CHECK(std::get<SensorFromPointer>(*json.sensor).pointer == "/id");
  CHECK(json.time_format == TimeFormat::epoch_milliseconds);
  CHECK(json.time_pointer == "/at");
  REQUIRE(json.fields.size() == 2);
  CHECK(json.fields[0].quantity == Quantity::gravity);
  CHECK(json.fields[0].pointer == "/sg");
  CHECK(json.fields[0].unit == Unit::plato);
  CHECK(json.fields[0].scale == 0.1);
  CHECK(json.fields[0].offset == -1);
  CHECK(json.fields[1].unit == Unit::degree_angle);
  CHECK(std::get<SensorFromLevel>(*s.sources[2].sensor).level == 4);
  CHECK(s.sources[2].fields.at(0).unit == Unit::fahrenheit);
  REQUIRE(s.vessels.size() == 2);
  CHECK(s.vessels[0].sensors == std::vector<std::string>{"hydrometer-1", "urn:dev:p"});
}

TEST_CASE("a thermostat is asked in its unit and format, within limits written in any unit") {
  const auto settings = parse_settings(
      "[[vessel]]\nname = \"a\"\nsensors = []\nset_point = { topic = \"t\", lowest = \"50 F\", highest = "
      "\"75.2 F\", when = \"automatic\", unit = \"F\", body = '{\"target\": {value}}', resend = \"\", "
      "least_pause = \"1 h\", retained = true }\n[[vessel]]\nname = \"b\"\nsensors = []\n",
      "gylekeeper.toml");
  if (!settings) FAIL(settings.error().message);
  const auto& vessels = settings.value().vessels;
  REQUIRE(vessels.size() == 2);
  CHECK_FALSE(vessels[1].set_point.has_value());
  REQUIRE(vessels[0].set_point.has_value());
  const SetPointSettings& one = *vessels[0].set_point;
  CHECK(one.rule.lowest.value == Approx(10));
  CHECK(one.rule.highest.value == Approx(24));
  CHECK(one.rule.automatic);
  CHECK(one.rule.resend == Duration(0));
  CHECK(one.rule.least_pause == hours(1));
  CHECK(one.retained);
  CHECK(set_point_message(one, Celsius{22}) == "{\"target\": 71.6}");
  // 4 degC is 39.2 F and -1 degC 30.2 F by definition; both have one decimal only.
  CHECK(set_point_message(one, Celsius{4}) == "{\"target\": 39.2}");
  SetPointSettings plain;
  CHECK(set_point_message(plain, Celsius{22}) == "22");
  CHECK(set_point_message(plain, Celsius{-0.001}) == "0");
  CHECK(set_point_message(plain, Celsius{18.256}) == "18.26");
  CHECK(set_point_message(plain, Celsius{20}) == "20");
}

TEST_CASE("an error is reported with file, line, key and what is expected") {
  struct Row {
    std::string text;
    const char* where;
    const char* hint;
  };
  const std::string source = kSource;
  const std::string vessel = "[[vessel]]\nname = \"a\"\nsensors = []\n[vessel.set_point]\n";
  const std::string limits = "lowest = \"10 Cel\"\nhighest = \"24 Cel\"\n";
  const auto row = GENERATE_COPY(values<Row>({
      {"[mqtt]\nbrokr = \"x\"\n", "2: mqtt.brokr: ", "\"broker\""},
      {"[mqt]\n", "1: mqt: ", "\"mqtt\""},
      {"mqtt = 5\n", "1: mqtt: ", "table"},
      {"[mqtt]\nbroker = \"localhost\"\n", "2: mqtt.broker: ", "mqtt://HOST:1883"},
      {"[mqtt]\nbroker = \"mqtt://h:99999\"\n", "2: mqtt.broker: ", "mqtt://HOST:1883"},
      {"[mqtt]\nbroker = \"mqtt://me:secret@h\"\n", "2: mqtt.broker: ", "keys of their own"},
      {"[mqtt]\nversion = 4\n", "2: mqtt.version: ", "3 for MQTT 3.1.1"},
      {"[mqtt]\nversion = 5.0\n", "2: mqtt.version: ", "whole number"},
      {"[mqtt]\nclient_id = \"\"\n", "2: mqtt.client_id: ", "characters"},
      {"[mqtt]\nkeep_alive = 30\n", "2: mqtt.keep_alive: ", "\"30 s\""},
      {"[mqtt]\nkeep_alive = \"1 s\"\n", "2: mqtt.keep_alive: ", "5 s and 1 h"},
      {"[mqtt]\nsession_expiry = \"2 years\"\n", "2: mqtt.session_expiry: ", "h, d or weeks"},
      {"[display]\ngravity = \"brix\"\n", "2: display.gravity: ", "\"SG\" or \"P\""},
      {"[display]\n\ntime_zone = \"Mars\"\n", "3: display.time_zone: ", "Europe/Zurich"},
      {"[storage]\ndatabase = \"\"\n", "2: storage.database: ", "path"},
      {"[ingest]\nreadings_per_hour = 0\n", "2: ingest.readings_per_hour: ", "from 60"},
      {"[storage]\nrefusals_kept = 0\n", "2: storage.refusals_kept: ", "from 10"},
      {"[control]\nmode = \"0990\"\n", "2: control.mode: ", "\"0660\""},
      {"[homie]\ndevice = \"Cellar\"\n", "2: homie.device: ", "\"gylekeeper\""},
      {"[homie]\ndomain = \"-a\"\n", "2: homie.domain: ", "\"homie\""},
      {"[page]\nlisten = \"8480\"\n", "2: page.listen: ", "\"127.0.0.1:8480\""},
      {"[page]\nlisten = \"cellar.local:8480\"\n", "2: page.listen: ", "\"127.0.0.1:8480\""},
      {"[page]\nlisten = \"127.0.0.1:70000\"\n", "2: page.listen: ", "\"127.0.0.1:8480\""},
      {"[page]\nlisten = \"127.0.0.1:0\"\n", "2: page.listen: ", "\"127.0.0.1:8480\""},
      {"[page]\nlisten = \"::1:8480\"\n", "2: page.listen: ", "\"[::1]:8480\""},
      {"[page]\nlisten = \"0.0.0.0:8480\"\n", "2: page.listen: ", "token_file"},
      {"[page]\ncertificate = \"c.pem\"\n", "2: page.certificate: ", "both, or neither"},
      {"[page]\nkey = \"k.pem\"\n", "2: page.key: ", "both, or neither"},
      {"[page]\nhosts = [\"http://cellar.local\"]\n", "2: page.hosts: ", "\"cellar.local\""},
      {"[control]\nmode = 660\n", "2: control.mode: ", "\"0660\""},
      {"[control]\nsocket = \"/" + std::string(120, 's') + "\"\n", "2: control.socket: ", "107 bytes"},
      {"[alerts]\nquiet_hours = \"late\"\n", "2: alerts.quiet_hours: ", "22:00-07:00"},
      {"[alerts]\nurgent = \"very\"\n", "2: alerts.urgent: ", "critical"},
      {"[alerts]\nseverities = [\"stuck\"]\n", "2: alerts.severities: ", "severity"},
      {"[alerts]\nseverities = [\"hops: error\"]\n", "2: alerts.severities: ", "hops"},
      {"[alerts]\ndigest = \"25:00\"\n", "2: alerts.digest: ", "07:30"},
      {"[[channel]]\nname = \"a\"\nkind = \"pigeon\"\n", "3: channel[1].kind: ", "webhook"},
      {"[[channel]]\nname = \"a\"\nkind = \"mqtt\"\ntopic = \"a/#\"\n", "4: channel[1].topic: ", "without"},
      {"[[channel]]\nname = \"a\"\nkind = \"webhook\"\nurl = \"ftp://x\"\n",
       "4: channel[1].url: ", "https://"},
      {"[[channel]]\nname = \"a\"\nkind = \"webhook\"\nurl = \"https://u:p@x/\"\n",
       "4: channel[1].url: ", "read from files"},
      {"[[channel]]\nname = \"a\"\nkind = \"webhook\"\nurl = \"https://x/\"\nbody = \"{beer}\"\n",
       "1: channel[1]: ", "beer"},
      {"[[channel]]\nname = \"a\"\nkind = \"webhook\"\nurl = \"https://x/\"\nheaders = [\"no colon\"]\n",
       "1: channel[1]: ", "header"},
      {"[[channel]]\nname = \"a\"\nkind = \"webhook\"\n", "1: channel[1].url: ", "https://"},
      {"[[channel]]\nname = \"a\"\nkind = \"log\"\nalerts = [\"hops\"]\n", "4: channel[1].alerts: ", "hops"},
      {"[[channel]]\nname = \"a\"\nkind = \"log\"\nurl = \"x\"\n", "4: channel[1].url: ", ""},
      {"[[channel]]\nname = \"a\"\nkind = \"log\"\n[[channel]]\nname = \"a\"\nkind = \"log\"\n",
       "5: channel[2].name: ", "already"},
      {"[[channel]]\nname = \"a\"\nkind = \"e-mail\"\nserver = \"smtp://m\"\nfrom = \"a b@c\"\nto = "
       "[\"a@b\"]\n",
       "5: channel[1].from: ", "address alone"},
      {"[[channel]]\nname = \"a\"\nkind = \"log\"\nvessels = [\"buckt\"]\n[[vessel]]\nname = \"bucket\"\n"
       "sensors = []\n",
       "4: channel[1].vessels: ", "\"bucket\" meant"},
      {"[[source]]\nformat = \"senml\"\n", "1: source[1].topic: ", "missing"},
      {"[[source]]\ntopic = \"a#\"\n", "2: source[1].topic: ", "stand alone"},
      {"[[source]]\ntopic = \"a/#/b\"\n", "2: source[1].topic: ", "last level"},
      {"[[source]]\ntopic = \"a\"\n[[source]]\ntopic = \"a\"\n", "4: source[2].topic: ", "source[1]"},
      {"[[source]]\ntopic = \"a\"\nformat = \"xml\"\n", "3: source[1].format: ", "\"json\""},
      {"[source]\ntopic = \"a\"\n", "1: source: ", "[[source]]"},
      {source, "1: source[1]: ", "no quantity"},
      {source + "[source.gravity]\npointer = \"/sg\"\nunit = \"brix\"\n", "7: source[1].gravity.unit: ",
       "\"brix\" is not a unit known here for gravity; use \"SG\", \"P\" or \"kg/m3\""},
      {source + "[source.gravity]\npointer = \"/sg\"\nunit = \"Cel\"\n",
       "7: source[1].gravity.unit: ", "\"SG\""},
      {source + "[source.gravity]\nunit = \"SG\"\n", "5: source[1].gravity.pointer: ", "missing"},
      {source + "[source.gravity]\npointer = \"sg\"\nunit = \"SG\"\n",
       "6: source[1].gravity.pointer: ", "\"/sg\""},
      {source + "[source.gravity]\npointer = \"/sg\"\n", "5: source[1].gravity.unit: ", "missing"},
      {source + "[source.gravity]\npointer = \"/sg\"\nunit = \"SG\"\nscale = 0\n",
       "8: source[1].gravity.scale: ", "same"},
      {source + "[source.gravity]\npointer = \"/sg\"\nunit = \"SG\"\noffset = nan\n",
       "8: source[1].gravity.offset: ", "a number"},
      {source + "[source.gravty]\npointer = \"/sg\"\n", "5: source[1].gravty: ", "\"gravity\""},
      {source + "[source.sample]\npointer = \"/sg\"\n", "5: source[1].sample: ", "not a key"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"json\"\nsensor = { level = 2 }\n",
       "4: source[1].sensor.level: ", "0 to 1"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"json\"\nsensor = { level = 1, name = \"x\" }\n",
       "4: source[1].sensor: ", "one of"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"json\"\ngravity = { pointer = \"/g\", unit = \"SG\" }\n",
       "1: source[1]: ", "sensor is missing"},
      {"[[source]]\ntopic = \"a/+\"\nsensor = { pointer = \"id\" }\n",
       "3: source[1].sensor.pointer: ", "\"/id\""},
      {"[[source]]\ntopic = \"a/+\"\ngravity = { pointer = \"/g\", unit = \"SG\" }\n",
       "3: source[1].gravity: ", "format = \"json\""},
      {"[[source]]\ntopic = \"a/+\"\ntime = { pointer = \"/g\", as = \"rfc3339\" }\n",
       "3: source[1].time: ", "leave it out"},
      {"[[source]]\ntopic = \"a/+\"\ntime = { pointer = \"/g\", as = \"iso\" }\n",
       "3: source[1].time.as: ", "\"epoch-ms\""},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"number\"\nsensor = { level = 1 }\n",
       "1: source[1]: ", "exactly one"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"number\"\nsensor = { level = 1 }\n"
       "inclination = { unit = \"deg\" }\nbattery = { unit = \"V\" }\n",
       "1: source[1]: ", "exactly one"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"number\"\nsensor = { level = 1 }\n"
       "inclination = { unit = \"deg\", pointer = \"/x\" }\n",
       "5: source[1].inclination.pointer: ", "leave it out"},
      {"[[source]]\ntopic = \"a/+\"\nformat = \"number\"\nsensor = { pointer = \"/id\" }\ntilt = { unit = "
       "\"deg\" }\n",
       "4: source[1].sensor.pointer: ", "level or name"},
      {"[[vessel]]\nsensors = []\n", "1: vessel[1].name: ", "missing"},
      {"[[vessel]]\nname = \"a/b\"\nsensors = []\n", "2: vessel[1].name: ", "without"},
      {"[[vessel]]\nname = \" \"\nsensors = []\n", "2: vessel[1].name: ", "without"},
      {"[[vessel]]\nname = \"a\xe2\x80\xae"
       "b\"\nsensors = []\n",
       "2: vessel[1].name: ", "cannot be seen"},
      {"[[vessel]]\nname = \"a\"\nsensors = [\"s\xe2\x80\x8b\"]\n",
       "3: vessel[1].sensors: ", "cannot be seen"},
      {"[[vessel]]\nname = \"a\"\nsensors = [\"\xc2\xa0 \"]\n", "3: vessel[1].sensors: ", "not blank"},
      {"[[vessel]]\nname = \"a\"\nsensors = [1]\n", "3: vessel[1].sensors: ", "list of texts"},
      {"[[vessel]]\nname = \"a\"\nsensors = [\"s\"]\n[[vessel]]\nname = \"b\"\nsensors = [\"s\"]\n",
       "6: vessel[2].sensors: ", "already in vessel[1] \"a\""},
      {"[[vessel]]\nname = \"a\"\nsensors = [\"s\"]\n[[vessel]]\nname = \"a\"\nsensors = [\"t\"]\n",
       "5: vessel[2].name: ", "vessel[1]"},
      {"[[vessel]]\nname = \"a\"\nsensors = [\"s\", \"s\"]\n", "3: vessel[1].sensors: ", "twice"},
      {vessel + "topic = \"t\"\nhighest = \"24 Cel\"\n", "4: vessel[1].set_point.lowest: ", "missing"},
      {vessel + "topic = \"t\"\nlowest = \"10 Cel\"\n", "4: vessel[1].set_point.highest: ", "missing"},
      {vessel + limits, "4: vessel[1].set_point.topic: ", "missing"},
      {vessel + "lowest = \"24 Cel\"\nhighest = \"10 Cel\"\n",
       "6: vessel[1].set_point.highest: ", "above lowest"},
      {vessel + "lowest = 10\n", "5: vessel[1].set_point.lowest: ", "\"10 C\""},
      {vessel + "lowest = \"-20 Cel\"\n", "5: vessel[1].set_point.lowest: ", "between -5 and 45"},
      {vessel + "highest = \"60 Cel\"\n", "5: vessel[1].set_point.highest: ", "between -5 and 45"},
      {vessel + limits + "topic = \"t/#\"\n", "7: vessel[1].set_point.topic: ", "without"},
      {vessel + limits + "when = \"always\"\n", "7: vessel[1].set_point.when: ", "\"automatic\""},
      {vessel + limits + "unit = \"K\"\n", "7: vessel[1].set_point.unit: ", "\"C\" or \"F\""},
      {vessel + limits + "body = \"on\"\n", "7: vessel[1].set_point.body: ", "{value}"},
      {vessel + limits + "resend = \"1 s\"\n", "7: vessel[1].set_point.resend: ", "30 s and 24 h"},
      {vessel + limits + "least_pause = \"0 min\"\n", "7: vessel[1].set_point.least_pause: ", "above 0"},
      {vessel + limits + "heater = true\n", "7: vessel[1].set_point.heater: ", "not a key"},
      {vessel + limits + "topic = \"t\"\n[[vessel]]\nname = \"b\"\nsensors = []\n[vessel.set_point]\n" +
           limits + "topic = \"t\"\n",
       "14: vessel[2].set_point.topic: ", "topic of its own"},
  }));
  CAPTURE(row.text);
  const auto settings = parse_settings(row.text, "gylekeeper.toml");
  REQUIRE_FALSE(settings.has_value());
  CHECK_THAT(settings.error().message, Catch::StartsWith(std::string("gylekeeper.toml:") + row.where));
  CHECK_THAT(settings.error().message, Catch::Contains(row.hint));
}

TEST_CASE("a file that cannot be read is reported with the cause") {
  const auto absent = load_settings("/nowhere/gylekeeper.toml");
  REQUIRE_FALSE(absent.has_value());
  CHECK(absent.error().code == Errc::not_found);
  CHECK(absent.error().message == "/nowhere/gylekeeper.toml: cannot be read: No such file or directory");
  const auto folder = load_settings("/");
  REQUIRE_FALSE(folder.has_value());
  CHECK_THAT(folder.error().message, Catch::Contains("Is a directory"));
}

TEST_CASE("all errors of a configuration are reported at once") {
  const auto settings = parse_settings(
      "[mqtt]\nbrokr = \"x\"\nversion = 4\n[page]\nlisten = \"8480\"\n[[source]]\nformat = \"xml\"\n"
      "[[vessel]]\nname = \"a\"\n",
      "g.toml");
  REQUIRE_FALSE(settings);
  const std::string& message = settings.error().message;
  CAPTURE(message);
  for (const char* line :
       {"g.toml:2: mqtt.brokr: ", "\ng.toml:3: mqtt.version: ", "\ng.toml:5: page.listen: ",
        "\ng.toml:7: source[1].format: ", "\ng.toml:8: vessel[1].sensors: missing"}) {
    CHECK_THAT(message, Catch::Contains(line));
  }
}
