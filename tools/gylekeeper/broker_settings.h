#pragma once

#include <optional>
#include <string>

#include "base/result.h"
#include "config/settings.h"

namespace gyle {

// How the tool itself connects to the broker: as the configuration says, but as a guest whose session ends
// with its connection, so that the daemon's is not disturbed.
struct BrokerSettings {
  MqttSettings settings;
  std::string password;
};

// `address` overrides the configured one. Fails when the password file cannot be read.
Result<BrokerSettings> broker_settings(const Settings& settings, const std::optional<std::string>& address);

}  // namespace gyle
