#pragma once

#include "ingest/intake.h"

namespace gyle {

// A SenML pack (RFC 8428). The last part of a record's name, after ":" or "/", names the quantity: gravity,
// density, inclination, beer_temperature or temperature, ambient_temperature, battery; what precedes it names
// the sensor unless the source does. Records that measure something else are left out; a pack without any
// quantity known here is refused, a pack that breaks the standard is refused whole.
void decode_senml(const Source& source, Intake& intake);

}  // namespace gyle
