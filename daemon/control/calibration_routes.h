#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/sensors/{sensor}/calibration; see control/routes.h.
std::span<const Route> calibration_routes();

}  // namespace gyle
