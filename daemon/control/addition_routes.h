#pragma once

#include "control/call.h"

namespace gyle {

// GET and POST of /v1/batches/B/additions, and POST of /v1/batches/B/additions/N; see control/routes.h.
HttpResponse list_additions(const Call& call, const BatchRecord& batch);
HttpResponse enter_addition(const Call& call, const BatchRecord& batch);
HttpResponse take_back_addition(const Call& call, const BatchRecord& batch);

}  // namespace gyle
