#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/cellar, /v1/status and /v1/display, as routes.h describes them.
std::span<const Route> cellar_routes();

}  // namespace gyle
