#pragma once

#include <nlohmann/json_fwd.hpp>
#include <span>

#include "control/call.h"

namespace gyle {

// What begins with /v1/batches; see control/routes.h.
std::span<const Route> batch_routes();

// A batch as /v1/status shows it, its sentences included.
nlohmann::ordered_json batch_json(const Call& call, const BatchRecord& batch);

// 201 for a new batch, with the source of its attenuation band.
HttpResponse new_batch(const Call& call, const BatchRecord& batch);

}  // namespace gyle
