#pragma once

#include <optional>

#include "base/result.h"
#include "brewday/beer_colour.h"
#include "brewday/bitterness.h"
#include "brewday/gravity_expected.h"
#include "brewday/kettle_fit.h"
#include "brewday/recipe.h"
#include "brewday/water.h"
#include "brewday/yeast_pitch.h"

namespace gyle {

// Everything that can be calculated before a brew.
struct BrewPlan {
  WaterPlan water;
  double grain_kg;
  double strike_water_kg;  // all but the sparge
  Celsius strike;
  std::optional<KettleFit> fit;  // absent: the kettle's volume is not known
  ExpectedWort wort;
  Celsius pitch;
  double pitch_rate;  // million cells per mL and degP
  YeastNeed yeast;
  std::optional<Bitterness> bitterness;  // absent: no hops, or ones whose alpha acids are not known
  std::optional<BeerColour> colour;      // absent: of some grain or sugar it is not known
};

// Plans a brew.
//   errors  Errc::out_of_range for the first part that is not possible, with the range
Result<BrewPlan> plan_brew(const Recipe& recipe);

// The batch that it makes, as it goes to the fermenter; the caller fills in the time of the pitch.
BatchSpec batch_of(const Recipe& recipe, const BrewPlan& plan);

}  // namespace gyle
