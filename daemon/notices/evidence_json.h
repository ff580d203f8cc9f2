#pragma once

#include <string>
#include <string_view>

#include "fermentation/decision.h"

namespace gyle {

// Evidence as a JSON object, names in order; values that are not finite are left out. And back: whatever is
// not a number in an object is left out.
std::string evidence_json(const Evidence& evidence);
Evidence parse_evidence(std::string_view json);

}  // namespace gyle
