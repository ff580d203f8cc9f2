#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// Corrections of what was entered about a batch, and taking them back; see control/routes.h.
std::span<const Route> amendment_routes();

}  // namespace gyle
