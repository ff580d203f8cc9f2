#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/status and what begins with /v1/batches; see control/routes.h.
std::span<const Route> batch_routes();

// 201 for a new batch, with the source of its attenuation band.
HttpResponse new_batch(const Call& call, const BatchRecord& batch);

}  // namespace gyle
