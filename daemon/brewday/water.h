#pragma once

#include "base/result.h"
#include "base/time.h"
#include "units/temperature.h"

namespace gyle {

// The volume at 20 degC of a litre of water at this temperature: 0.9601 at the boil (units/density.h).
double cooling_shrinkage(Celsius from = Celsius{100});

// What decides how much water a brew takes when all of it is in the kettle from the beginning. Absorption and
// displacement of grain: common practice, no source; they differ by kettle, measure yours.
struct WaterNeeds {
  double batch_l = 20;               // into the fermenter, at 20 degC
  double trub_l = 3.0;               // left behind in the kettle, at 20 degC
  Duration boil = hours(1);          //
  double evaporation_l_per_h = 5.5;  // by which the level falls in an hour of boiling; open kettles 3 to 5.7
  double grain_kg = 0;               //
  double absorption_l_per_kg = 0.8;  // water missing per kg of grain once the bag is out; 0.5 to 1.2
  double displacement_l_per_kg = 0.67;  // by which dry grain raises the level
  double sugar_kg = 0;                  // goes in during the boil and takes up room of its own
  Celsius mash{66};
};

// The volumes of the day; hot: as the kettle shows it at the boil.
struct WaterPlan {
  double total_cold_l;     // the same water measured out at 20 degC
  double mash_volume_l;    // water at the mash's temperature and grain together
  double pre_boil_hot_l;   // once the bag is out
  double post_boil_hot_l;  // when the boil ends
};

// Backwards from the fermenter: batch and trub at the boil's temperature, before they shrink; the water that
// boils away; the water that the grain keeps.
//   range   batch above 0 L, nothing negative, mash 0 to 100 degC, boil up to 6 h, evaporation up to
//           1000 L/h; else Errc::out_of_range
//   tests   unit/brewday/water_test.cpp
Result<WaterPlan> plan_water(const WaterNeeds& needs);

}  // namespace gyle
