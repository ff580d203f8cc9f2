#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// What begins with /v1/alerts or /v1/channels; see control/routes.h.
std::span<const Route> alert_routes();

}  // namespace gyle
