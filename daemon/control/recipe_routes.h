#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// The batch that a recipe makes, before it is pitched. Stores nothing.
std::span<const Route> recipe_routes();

}  // namespace gyle
