#pragma once

#include "control/call.h"

namespace gyle {

// GET and POST /v1/batches/{batch}/fills, POST .../fills/{fill}?take_back=yes.
HttpResponse list_fills(const Call& call, const BatchRecord& batch);
HttpResponse enter_fill(const Call& call, const BatchRecord& batch);
HttpResponse take_back_fill(const Call& call, const BatchRecord& batch);

}  // namespace gyle
