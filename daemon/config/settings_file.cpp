#include "config/settings_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "base/text.h"
#include "config/batch_blocks.h"
#include "config/channel_blocks.h"
#include "config/read_file.h"
#include "config/source_settings.h"
#include "config/time_zone.h"
#include "config/toml_reader.h"
#include "ingest/intake.h"
#include "units/quantity_text.h"

namespace gyle {
namespace {

// A section that is absent reads like an empty one: every key is still asked for.
TomlTable section(TomlTable& root, std::string_view name, TomlProblems& problems) {
  static const TomlValue empty{1, TomlValue::Table{}};
  const TomlValue* found = root.find(name);
  return TomlTable(found ? *found : empty, std::string(name), problems);
}

template <class T, std::size_t n>
void read_choice(TomlTable& table, std::string_view key, T& into,
                 const std::array<std::pair<std::string_view, T>, n>& choices) {
  std::string text;
  if (!table.read(key, text)) return;
  std::string all;
  for (const auto& [word, value] : choices) {
    if (text == word) {
      into = value;
      return;
    }
    all += fmt::format("{}\"{}\"", all.empty() ? "" : " or ", word);
  }
  table.problem(key, fmt::format("\"{}\" is not known here; write {}", text, all));
}

void read_display(TomlTable table, DisplaySettings& display) {
  using D = DisplaySettings;
  read_choice(table, "gravity", display.gravity,
              std::array{std::pair(std::string_view("SG"), D::Gravity::specific_gravity),
                         std::pair(std::string_view("P"), D::Gravity::plato)});
  read_choice(table, "temperature", display.temperature,
              std::array{std::pair(std::string_view("C"), D::Temperature::celsius),
                         std::pair(std::string_view("Cel"), D::Temperature::celsius),
                         std::pair(std::string_view("F"), D::Temperature::fahrenheit)});
  read_choice(table, "volume", display.volume,
              std::array{std::pair(std::string_view("L"), D::Volume::litres),
                         std::pair(std::string_view("gal"), D::Volume::us_gallons)});
  table.read_as("time_zone", display.time_zone, [](std::string_view zone) -> Result<std::string> {
    BOOST_OUTCOME_TRYV(check_time_zone(zone));
    return std::string(zone);
  });
  table.finish();
}

// mqtt://HOST[:PORT] or mqtts://HOST[:PORT]; an IPv6 address is in brackets.
Result<std::string> checked_broker(std::string_view text) {
  const auto wrong = [&] {
    return fail(Errc::malformed,
                fmt::format("\"{}\" is no broker address; write mqtt://HOST:1883, or mqtts://HOST:8883 "
                            "with encryption; user and password have keys of their own",
                            text));
  };
  const std::size_t scheme_end = text.find("://");
  if (scheme_end == std::string_view::npos) return wrong();
  const std::string_view scheme = text.substr(0, scheme_end);
  if (scheme != "mqtt" && scheme != "mqtts") return wrong();
  std::string_view host = text.substr(scheme_end + 3);
  const std::size_t bracket = host.rfind(']');
  const std::size_t colon = host.find(':', bracket == std::string_view::npos ? 0 : bracket);
  if (colon != std::string_view::npos) {
    const std::string_view digits = host.substr(colon + 1);
    int port = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), port);
    if (error != std::errc{} || end != digits.data() + digits.size() || port < 1 || port > 65535)
      return wrong();
    host = host.substr(0, colon);
  }
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (host.empty() || host.find_first_of(bracketed ? " /?#@" : " /?#@[]") != std::string_view::npos)
    return wrong();
  return std::string(text);
}

// Seconds in a range, from "30 s", "30 d".
auto duration_between(Duration lowest, Duration highest, std::string_view range) {
  return [=](std::string_view text) -> Result<Duration> {
    BOOST_OUTCOME_TRY(length, parse_duration(text));
    if (length >= lowest && length <= highest) return length;
    return fail(Errc::out_of_range, fmt::format("\"{}\" is not between {}", text, range));
  };
}

void read_mqtt(TomlTable table, MqttSettings& mqtt) {
  table.read_as("broker", mqtt.broker, checked_broker);
  table.read("version", mqtt.version, 3, 5);
  if (mqtt.version == 4) table.problem("version", "write 5, or 3 for MQTT 3.1.1");
  if (table.read("client_id", mqtt.client_id) && (mqtt.client_id.empty() || mqtt.client_id.size() > 128)) {
    table.problem("client_id", "1 to 128 characters; the broker keeps the queue of messages under this name");
  }
  table.read("username", mqtt.username);
  std::string path;
  if (table.read("password_file", path)) mqtt.password_file = path;
  if (table.read("ca_file", path)) mqtt.ca_file = path;
  table.read_as("heartbeat_topic", mqtt.heartbeat_topic, [](std::string_view text) -> Result<std::string> {
    return text.empty() ? Result<std::string>(std::string()) : checked_topic(text);
  });
  table.read_as("keep_alive", mqtt.keep_alive, duration_between(seconds(5), hours(1), "5 s and 1 h"),
                "\"30 s\"");
  table.read_as("heartbeat", mqtt.heartbeat, duration_between(seconds(5), hours(1), "5 s and 1 h"),
                "\"60 s\"");
  table.read_as("session_expiry", mqtt.session_expiry, duration_between(hours(1), days(365), "1 h and 365 d"),
                "\"30 d\"");
  table.finish();
}

void read_ingest(TomlTable table, IngestSettings& ingest) {
  table.read("readings_per_hour", ingest.readings_per_hour, 60, 10'000'000);
  table.finish();
}

void read_storage(TomlTable table, StorageSettings& storage) {
  std::string path;
  if (table.read("database", path)) storage.database = path;
  if (storage.database.empty()) table.problem("database", "the path of a file is expected");
  table.read("refusals_kept", storage.refusals_kept, 10, 1'000'000);
  table.finish();
}

Result<unsigned> parse_mode(std::string_view text) {
  unsigned mode = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), mode, 8);
  if (error == std::errc{} && end == text.data() + text.size() && mode <= 0777) return mode;
  return fail(Errc::malformed, fmt::format("\"{}\" is no file mode; write for example \"0660\"", text));
}

void read_control(TomlTable table, ControlSettings& control) {
  constexpr std::size_t kLongestSocket = 107;  // sun_path of Linux, see unix(7)
  std::string path;
  if (table.read("socket", path)) control.socket = path;
  if (control.socket.empty() || control.socket.native().size() > kLongestSocket) {
    table.problem("socket", fmt::format("a path of 1 to {} bytes is expected", kLongestSocket));
  }
  table.read_as("mode", control.mode, parse_mode, "\"0660\"");
  table.finish();
}

void read_alerts(TomlTable table, AlertSettings& alerts) {
  table.read_as("quiet_hours", alerts.calm.quiet, parse_quiet_hours, "\"22:00-07:00\"");
  std::string urgent;
  if (table.read("urgent", urgent)) {
    if (const auto severity = severity_named(urgent)) {
      alerts.calm.urgent = *severity;
    } else {
      table.problem("urgent", fmt::format("\"{}\" is no severity; write for example \"critical\"", urgent));
    }
  }
  std::vector<std::string> severities;
  table.read("severities", severities);
  for (const std::string& text : severities) {
    if (const auto one = parse_kind_severity(text)) {
      alerts.severities.insert(one.value());
    } else {
      table.problem("severities", one.error().message);
    }
  }
  std::string digest;
  if (table.read("digest", digest) && !digest.empty()) {
    if (const auto of_day = parse_time_of_day(digest)) {
      alerts.digest = of_day.value();
    } else {
      table.problem("digest", of_day.error().message);
    }
  }
  table.finish();
}

void read_thermostat(TomlTable& block, const std::vector<Vessel>& before, Vessel& vessel,
                     TomlProblems& problems) {
  const TomlValue* const found = block.find("set_point");
  if (found == nullptr) return;
  TomlTable table(*found, block.path_of("set_point"), problems);
  vessel.set_point = read_set_point(table);
  for (const Vessel& other : before) {
    if (!other.set_point || other.set_point->topic != vessel.set_point->topic) continue;
    table.problem("topic", fmt::format("the thermostat of \"{}\" listens there already; give each a topic of "
                                       "its own",
                                       other.name));
  }
}

void read_vessels(TomlTable& root, std::vector<Vessel>& vessels, TomlProblems& problems) {
  for (const TomlValue* block : root.tables("vessel")) {
    TomlTable table(*block, fmt::format("vessel[{}]", vessels.size() + 1), problems);
    Vessel vessel;
    table.must_have("name", "\"bucket\"");
    // The name becomes a level of the topics of its alerts.
    if (table.read("name", vessel.name) &&
        (!is_name(vessel.name, 64) || vessel.name.find_first_of("/+#") != std::string::npos)) {
      table.problem("name", "1 to 64 characters, without \"/\", \"+\" and \"#\"");
    }
    table.must_have("sensors", "[\"hydrometer-1\"]");
    table.read("sensors", vessel.sensors);
    for (const std::string& sensor : vessel.sensors) {
      if (!is_sensor_id(sensor)) {
        table.problem("sensors",
                      fmt::format("a sensor's id has 1 to {} bytes and is not blank", kLongestSensorId));
      }
      if (std::count(vessel.sensors.begin(), vessel.sensors.end(), sensor) > 1) {
        table.problem("sensors", fmt::format("\"{}\" stands there twice", sensor));
      }
      for (std::size_t i = 0; i < vessels.size(); ++i) {
        const auto& others = vessels[i].sensors;
        if (std::find(others.begin(), others.end(), sensor) == others.end()) continue;
        table.problem("sensors",
                      fmt::format("\"{}\" is already in vessel[{}] \"{}\"; a sensor is in one vessel", sensor,
                                  i + 1, vessels[i].name));
      }
    }
    for (std::size_t i = 0; i < vessels.size(); ++i) {
      if (vessels[i].name != vessel.name) continue;
      table.problem("name", fmt::format("\"{}\" is the name of vessel[{}] already", vessel.name, i + 1));
    }
    read_thermostat(table, vessels, vessel, problems);
    table.finish();
    vessels.push_back(std::move(vessel));
  }
}

// A filter on a vessel that is not there would keep alerts back for ever.
void check_filters(const Settings& settings, const TomlValue& document, TomlProblems& problems) {
  std::vector<std::string> vessels;
  for (const Vessel& vessel : settings.vessels) vessels.push_back(vessel.name);
  for (std::size_t i = 0; i < settings.alerts.channels.size(); ++i) {
    const std::string key = fmt::format("channel[{}].vessels", i + 1);
    for (const std::string& name : settings.alerts.channels[i].filter.vessels) {
      if (std::find(vessels.begin(), vessels.end(), name) != vessels.end()) continue;
      const std::string near = nearest(name, vessels);
      problems.add(line_of(document, key), key,
                   fmt::format("there is no vessel \"{}\"{}", name,
                               near.empty() ? "; write a [[vessel]] block for it"
                                            : fmt::format("; is \"{}\" meant?", near)));
    }
  }
}

}  // namespace

Result<Settings> parse_settings(std::string_view text, std::string_view file_name,
                                std::set<std::string>* keys) {
  BOOST_OUTCOME_TRY(document, parse_toml(text, file_name));
  TomlProblems problems{std::string(file_name)};
  TomlTable root(document, "", problems);
  Settings settings;
  read_display(section(root, "display", problems), settings.display);
  read_mqtt(section(root, "mqtt", problems), settings.mqtt);
  read_ingest(section(root, "ingest", problems), settings.ingest);
  read_storage(section(root, "storage", problems), settings.storage);
  read_control(section(root, "control", problems), settings.control);
  TomlTable page = section(root, "page", problems);
  read_page(page, settings.page);
  TomlTable homie = section(root, "homie", problems);
  read_homie(homie, settings.homie);
  read_alerts(section(root, "alerts", problems), settings.alerts);
  read_channels(root, settings.alerts.channels, problems);
  settings.sources = read_sources(root, problems);
  read_vessels(root, settings.vessels, problems);
  root.finish();
  check_filters(settings, document, problems);
  if (keys) *keys = problems.keys();
  BOOST_OUTCOME_TRYV(problems.status());
  return settings;
}

Result<Settings> load_settings(const std::filesystem::path& path) {
  BOOST_OUTCOME_TRY(text, read_file(path));
  return parse_settings(text, path.string());
}

}  // namespace gyle
