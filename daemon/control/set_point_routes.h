#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/set-points, /v1/batches/{batch}/set-point and .../set-point/confirm, as routes.h describes them.
std::span<const Route> set_point_routes();

}  // namespace gyle
