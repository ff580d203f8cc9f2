#pragma once

#include <optional>

#include "base/result.h"
#include "units/gravity.h"

namespace gyle {

// Alcohol and attenuation by every published route; fractions of 1 but for the extracts. The spread of the
// routes shows how well two gravities determine alcohol: in a beer of 1.100 Balling's own routes differ by
// 0.2 % by volume at most.
struct AlcoholRoutes {
  Plato original_extract;
  Plato apparent_extract;
  Plato real_extract;             // R = 0.1808 E + 0.8192 A; grams in 100 g of beer
  double apparent_attenuation;    // of the points of gravity
  double apparent_extract_share;  // of the degrees Plato: the same by the older definition
  double real_attenuation;

  double weight_balling;   // (E - R) / (2.0665 - 0.010665 E)
  double weight_quotient;  // (E - A) / (2.0665 - 0.010665 E) / q, q = 1.22 + 0.001 E
  double volume_balling;   // at 20 degC, with ethanol's density of 789.24 kg/m3
  double volume_quotient;
  // Points fallen times a factor that grows with them, of the UK's guidance on beer duty (Notice 226, its
  // rows from memory); absent above 100.7 points, where the table ends.
  std::optional<double> volume_uk_table;
  double volume_rule;  // 131.25 (OG - FG): common practice, no source

  double least_volume() const;
  double most_volume() const;
};

// Alcohol from the gravities before and after; E is the original extract, A the apparent one of the beer, in
// degP.
//   source  C. J. N. Balling's equations as used by ASBC and EBC; his factors as tabulated for 6 to 30 degP
//   errors  Errc::out_of_range: the original gravity is not between 1.010 and 1.130, the present one is not
//           between 0.990 and the original
Result<AlcoholRoutes> alcohol_by_routes(SpecificGravity original, SpecificGravity present);

}  // namespace gyle
