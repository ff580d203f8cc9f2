#include "broker_settings.h"

#include "config/read_file.h"

namespace gyle {

Result<BrokerSettings> broker_settings(const Settings& settings, const std::optional<std::string>& address) {
  BrokerSettings broker{settings.mqtt, ""};
  if (address) broker.settings.broker = *address;
  broker.settings.client_id.clear();
  broker.settings.heartbeat_topic.clear();  // it is the watcher's
  if (!broker.settings.password_file.empty()) {
    BOOST_OUTCOME_TRY(password, read_file(broker.settings.password_file));
    while (!password.empty() && (password.back() == '\n' || password.back() == '\r')) password.pop_back();
    broker.password = password;
  }
  return broker;
}

}  // namespace gyle
