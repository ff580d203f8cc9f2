#pragma once

#include "ingest/intake.h"

namespace gyle {

// A bare decimal number, nothing before or after it but white space. The source has exactly one field.
void decode_number(const Source& source, Intake& intake);

}  // namespace gyle
