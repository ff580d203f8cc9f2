#pragma once

#include "control/call.h"

namespace gyle {

// GET and POST of /v1/batches/B/notes; see control/routes.h.
HttpResponse list_notes(const Call& call, const BatchRecord& batch);
HttpResponse write_note(const Call& call, const BatchRecord& batch);

}  // namespace gyle
