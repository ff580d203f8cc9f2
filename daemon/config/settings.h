#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/time.h"
#include "config/homie_settings.h"
#include "config/page_settings.h"
#include "config/set_point_settings.h"
#include "ingest/source.h"
#include "notices/channel_settings.h"
#include "notices/quiet_hours.h"
#include "wording/display.h"

namespace gyle {

struct MqttSettings {
  std::string broker = "mqtt://localhost:1883";  // mqtt:// or mqtts://
  int version = 5;                               // 5, or 3 for MQTT 3.1.1
  std::string client_id = "gylekeeper";
  std::string username;
  std::filesystem::path password_file;  // empty: no password
  std::filesystem::path ca_file;        // empty: the system's
  Duration keep_alive = seconds(30);
  Duration session_expiry = days(30);
  std::string heartbeat_topic = "gylekeeper/watcher";  // empty: no sign of life
  Duration heartbeat = seconds(60);
};

struct IngestSettings {
  int readings_per_hour = 7200;  // of one sensor, at most
};

struct StorageSettings {
  std::filesystem::path database = "/var/lib/gylekeeper/journal.db";
  int refusals_kept = 10000;
};

struct ControlSettings {
  std::filesystem::path socket = "/run/gylekeeper/control.sock";
  unsigned mode = 0660;  // of the socket: who may connect
};

struct AlertSettings {
  Calm calm;
  std::optional<std::chrono::minutes> digest;               // time of day
  std::map<std::string, Severity, std::less<>> severities;  // of kinds that differ from the default
  std::vector<ChannelSettings> channels{{"log", {}, false, false, false, LogSettings{}},
                                        {"mqtt", {}, false, false, false, MqttChannelSettings{}}};
};

struct Vessel {
  std::string name;
  std::vector<std::string> sensors;                // ids, each in one vessel at most
  std::optional<SetPointSettings> set_point = {};  // absent: no thermostat is asked for anything
};

struct Settings {
  DisplaySettings display;
  MqttSettings mqtt;
  IngestSettings ingest;
  StorageSettings storage;
  ControlSettings control;
  PageSettings page;
  HomieSettings homie;
  AlertSettings alerts;
  std::vector<Source> sources;
  std::vector<Vessel> vessels;
};

}  // namespace gyle
