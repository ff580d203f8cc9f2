#pragma once

#include <map>
#include <span>
#include <string>

#include "control/cellar.h"
#include "wording/display.h"

// The batches in their vessels as a device of the Homie convention, version 5.0: a node for each batch, its
// stage, gravity, temperature and forecasts as properties that are retained and cannot be set.
//   source  Homie: An MQTT Convention for IoT/M2M, version 5.0.0 (CC BY 4.0)
namespace gyle {

// The JSON of $description. Its `version` changes with its content and with nothing else.
std::string homie_description(std::span<const BatchRecord> batches, const DisplaySettings& display);

// The values, by their topics below the device: "batch-7/gravity" = "1.0302". What is not known has none.
std::map<std::string, std::string> homie_values(std::span<const BatchRecord> batches,
                                                const DisplaySettings& display);

// What stands of what the brewer was told about a batch: "$alert/batch-7-stuck-1" and the words.
std::map<std::string, std::string> homie_alerts(const BatchRecord& batch, std::span<const ToldAlert> told);

}  // namespace gyle
