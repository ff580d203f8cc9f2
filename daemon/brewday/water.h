#pragma once

#include "base/result.h"
#include "base/time.h"
#include "units/temperature.h"

namespace gyle {

// The volume at 20 degC of a litre of water at this temperature: 0.9601 at the boil (units/density.h).
double cooling_shrinkage(Celsius from = Celsius{100});

// Water that a mash keeps at least, per kg of grain: a thinner one does not stir. Common practice, no source.
constexpr double kThickestMash_l_per_kg = 2.0;

// What decides how much water a brew takes, all of it in the kettle from the beginning but for a sparge. Absorption and
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
  double sparge_l = 0;  // of the water, at 20 degC: kept from the mash and poured through the grain
};

// The volumes of the day; hot: as the kettle shows it at the boil.
struct WaterPlan {
  double total_cold_l;     // the same water measured out at 20 degC
  double mash_cold_l;      // of it, without what is kept for the sparge
  double mash_volume_l;    // that at the mash's temperature and grain together
  double pre_boil_hot_l;   // once the bag is out
  double post_boil_hot_l;  // when the boil ends
};

// Backwards from the fermenter: batch and trub at the boil's temperature, before they shrink; the water that
// boils away; the water that the grain keeps.
//   range   batch above 0 L, nothing negative, mash 0 to 100 degC, boil up to 6 h, evaporation up to
//           1000 L/h, a sparge that leaves the mash kThickestMash_l_per_kg; else Errc::out_of_range
//   tests   unit/brewday/water_test.cpp
Result<WaterPlan> plan_water(const WaterNeeds& needs);

}  // namespace gyle
