#pragma once

#include <span>
#include <string_view>

#include "control/cellar.h"

namespace gyle {

// The sensor with this id, or the only one whose id differs from it in case alone. Errc::not_found.
Result<SensorRecord> find_sensor(std::span<const SensorRecord> sensors, std::string_view id);

}  // namespace gyle
