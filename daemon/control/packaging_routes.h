#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// What a batch holds and needs at packaging; see control/routes.h.
std::span<const Route> packaging_routes();

}  // namespace gyle
