#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// What was entered wrongly about a batch, put right and put back.
std::span<const Route> amendment_routes();

}  // namespace gyle
