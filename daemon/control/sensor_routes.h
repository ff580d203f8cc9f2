#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/sensors and /v1/refusals; see control/routes.h. Both have `lines` for people (wording/sensor_lines.h,
// wording/refusal_lines.h).
std::span<const Route> sensor_routes();

}  // namespace gyle
