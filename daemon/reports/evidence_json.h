#pragma once

#include <string>
#include <string_view>

#include "fermentation/decision.h"

namespace gyle {

// Evidence as a JSON object, names in order; what is not finite is left out. And back: whatever is no number
// of an object is left out.
std::string evidence_json(const Evidence& evidence);
Evidence parse_evidence(std::string_view json);

}  // namespace gyle
