#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

//   GET  /v1/check    what the daemon depends on, judged (wording/check_lines.h)
std::span<const Route> check_routes();

}  // namespace gyle
