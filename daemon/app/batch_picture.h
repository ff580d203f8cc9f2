#pragma once

#include <cstdint>
#include <string>

#include "control/cellar.h"
#include "wording/display.h"

namespace gyle {

// The curve of a batch with its alerts, as SVG, for a message about it; "" while there is none.
std::string batch_picture(const Cellar& cellar, std::int64_t batch, const DisplaySettings& display);

}  // namespace gyle
