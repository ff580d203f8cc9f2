#pragma once

#include <nlohmann/json_fwd.hpp>

#include "packaging/packaging_plan.h"

namespace gyle {

// What a beer holds and needs at packaging, for machines: units in the names, fractions of 1. What was not
// requested is absent.
nlohmann::ordered_json to_json(const PackagingPlan& plan);

}  // namespace gyle
