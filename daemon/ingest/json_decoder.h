#pragma once

#include "ingest/intake.h"

namespace gyle {

// A JSON document by the pointers of the source. A field that is absent or null is passed over,
// unless all of them are: that is refused. Without a time at the source's pointer the message counts as
// unstamped.
void decode_json(const Source& source, Intake& intake);

}  // namespace gyle
