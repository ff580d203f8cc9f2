#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// The record of each yeast (fermentation/yeast_record.h):
//
//   GET /v1/yeasts    each, by name
//   GET /v1/yeasts/Y  one, with its batches; spaces and the case of letters do not matter
std::span<const Route> yeast_routes();

}  // namespace gyle
