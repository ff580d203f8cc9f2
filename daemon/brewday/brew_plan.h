#pragma once

#include <optional>

#include "base/result.h"
#include "brewday/gravity_expected.h"
#include "brewday/kettle_fit.h"
#include "brewday/recipe.h"
#include "brewday/water.h"
#include "brewday/yeast_pitch.h"

namespace gyle {

// Everything about a brew that can be reckoned before it.
struct BrewPlan {
  WaterPlan water;
  double grain_kg;
  double strike_water_kg;
  Celsius strike;
  std::optional<KettleFit> fit;  // absent: the kettle's volume is not known
  ExpectedWort wort;
  Celsius pitch;
  double pitch_rate;  // million cells per mL and degP
  YeastNeed yeast;
};

// Errors: Errc::out_of_range of the first part that cannot be, with what would be right.
Result<BrewPlan> plan_brew(const Recipe& recipe);

// The batch that comes of it, as it goes to the fermenter; when it is pitched is for the caller to fill in.
BatchSpec batch_of(const Recipe& recipe, const BrewPlan& plan);

}  // namespace gyle
