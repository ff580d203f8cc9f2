#pragma once

#include <nlohmann/json_fwd.hpp>

#include "control/cellar.h"

namespace gyle {

// The daemon's records as JSON, in canonical units with the unit in the name, times
// in RFC 3339. What is not known is absent, what is not finite counts as not known.
nlohmann::ordered_json to_json(const BatchRecord& batch);
nlohmann::ordered_json to_json(const BatchSpec& spec);
nlohmann::ordered_json to_json(const std::vector<Addition>& additions);
nlohmann::ordered_json to_json(const BatchView& view);
nlohmann::ordered_json to_json(const ReportedAlert& alert);
nlohmann::ordered_json to_json(const SystemAlert& word);
nlohmann::ordered_json to_json(const ChannelReport& channel);
nlohmann::ordered_json to_json(const Outlook& outlook);
nlohmann::ordered_json to_json(const SensorRecord& sensor);
nlohmann::ordered_json to_json(const SensorHealth& health);
nlohmann::ordered_json to_json(const RefusalSummary& refusals);
nlohmann::ordered_json to_json(const DaemonRecord& daemon);

}  // namespace gyle
