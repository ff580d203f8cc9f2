#pragma once

#include <string>

#include "control/cellar.h"

namespace gyle {

// The sensor with this id, or the only one whose id differs from it in case alone, looked for among the first
// 1,000, which those in vessels are. Errc::not_found.
Result<SensorRecord> find_sensor(const Cellar& cellar, const std::string& id);

}  // namespace gyle
