#pragma once

#include <map>
#include <optional>
#include <string>

#include "base/result.h"
#include "units/gravity.h"

namespace gyle {

// The gravity at 20 degC that the query of a sample tells:
//   gravity=1.012 (or "3.1 P")  with temperature="24 Cel" of the sample, and calibrated_at="20 Cel" of the
//                               hydrometer; without a temperature it is taken as it is
//   refractometer=6.2           degrees Brix or Plato, with wort_correction=1.04; needs the original gravity
// Errc::malformed, missing or out_of_range with what would be right.
Result<SpecificGravity> sample_gravity(const std::map<std::string, std::string, std::less<>>& query,
                                       std::optional<SpecificGravity> original);

}  // namespace gyle
