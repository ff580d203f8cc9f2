#pragma once

#include <map>
#include <span>
#include <string>

#include "control/cellar.h"
#include "wording/display.h"

// The batches in vessels as a device of the Homie convention, version 5.0: a node per batch with its stage,
// gravity, temperature and forecasts as retained, read-only properties.
//   source  Homie: An MQTT Convention for IoT/M2M, version 5.0.0 (CC BY 4.0)
namespace gyle {

// The JSON of $description. Its `version` depends on its content only.
std::string homie_description(std::span<const BatchRecord> batches, const DisplaySettings& display);

// Values by topic below the device: "batch-7/gravity" = "1.0302". Unknown values are absent.
std::map<std::string, std::string> homie_values(std::span<const BatchRecord> batches,
                                                const DisplaySettings& display);

// The open alerts of a batch: "$alert/batch-7-stuck-1" and the sentence.
std::map<std::string, std::string> homie_alerts(const BatchRecord& batch,
                                                std::span<const ReportedAlert> sent);

}  // namespace gyle
