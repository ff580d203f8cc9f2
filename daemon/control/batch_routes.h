#pragma once

#include <span>

#include "control/call.h"

namespace gyle {

// /v1/status and what begins with /v1/batches; see control/routes.h.
std::span<const Route> batch_routes();

// 201 for a batch that there is now, and whence its band of attenuation is.
HttpResponse new_batch(const Call& call, const BatchRecord& batch);

}  // namespace gyle
