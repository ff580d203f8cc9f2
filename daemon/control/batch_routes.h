#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/status and what begins with /v1/batches; see control/routes.h.
std::span<const Route> batch_routes();

}  // namespace gyle
