#pragma once

#include "base/result.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// Rates in million cells per millilitre and degree Plato: common practice, no source.
constexpr double kAleRate = 0.75;
constexpr double kCoolRate = 1.5;  // fermented below kCoolBelow
constexpr Celsius kCoolBelow{15};

// Viable cells in a gram of dry yeast, in thousand millions: common practice, no source. Packs differ and
// age; the packet's own number is better.
constexpr double kDryYeast = 10;
constexpr double kDryYeastLow = 6;
constexpr double kDryYeastHigh = 15;

struct YeastNeed {
  double billion_cells;
  double dry_grams;  // at the stated number of viable cells in a gram
  double dry_grams_low;
  double dry_grams_high;
};

// Yeast to pitch. `viable_cells_per_gram` 0: kDryYeast, with the range of the two beside it; else that
// number, and no range.
//   range   volume above 0 L, gravity 1.005 to 1.130, rate above 0 and up to 5, cells 0 to 100; else
//           Errc::out_of_range
Result<YeastNeed> yeast_need(double volume_l, SpecificGravity original, double rate,
                             double viable_cells_per_gram = 0);

}  // namespace gyle
