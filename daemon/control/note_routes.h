#pragma once

#include <string>
#include <string_view>

#include "base/result.h"
#include "control/call.h"

namespace gyle {

// A note as it is kept: line breaks as \n, blanks at both ends cut. Errc::malformed unless it is UTF-8 of 1
// to 2000 characters, without control characters but tabs and line breaks.
Result<std::string> note_text(std::string_view body);

// GET and POST of /v1/batches/B/notes; see control/routes.h.
HttpResponse list_notes(const Call& call, const BatchRecord& batch);
HttpResponse write_note(const Call& call, const BatchRecord& batch);

}  // namespace gyle
