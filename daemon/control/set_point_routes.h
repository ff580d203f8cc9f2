#pragma once

#include <nlohmann/json_fwd.hpp>
#include <span>

#include "control/call.h"

namespace gyle {

// What a batch's thermostat is asked for, its sentences included.
nlohmann::ordered_json set_point_json(const Call& call, const BatchRecord& batch,
                                      const SetPointReport& report);

// /v1/set-points, /v1/batches/{batch}/set-point and .../set-point/confirm, as routes.h describes them.
std::span<const Route> set_point_routes();

}  // namespace gyle
