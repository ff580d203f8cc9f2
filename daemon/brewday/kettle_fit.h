#pragma once

#include <optional>

#include "base/result.h"
#include "brewday/water.h"

namespace gyle {

// Whether a brew goes into its kettle, at its fullest: with the grain in, or, for a long boil, before it.
struct KettleFit {
  double needed_l;  // with the head-space
  double spare_l;   // negative when it does not fit
  // The largest batch that fits, grain, sugar and sparge in proportion, all else as it is; absent when none does.
  std::optional<double> largest_batch_l;

  bool fits() const { return spare_l >= 0; }
  bool only_just(double kettle_l) const { return fits() && spare_l < 0.05 * kettle_l; }
};

//   range   kettle above 0 L, head-space 0 L to the kettle's volume, the needs as of plan_water; else
//           Errc::out_of_range
//   tests   unit/brewday/kettle_fit_test.cpp
Result<KettleFit> fit_kettle(const WaterNeeds& needs, double kettle_l, double head_space_l);

}  // namespace gyle
