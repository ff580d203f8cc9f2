#pragma once

#include "control/call.h"

namespace gyle {

// GET and POST of /v1/batches/B/samples; see control/routes.h.
HttpResponse list_samples(const Call& call, const BatchRecord& batch);
HttpResponse take_sample(const Call& call, const BatchRecord& before);

}  // namespace gyle
