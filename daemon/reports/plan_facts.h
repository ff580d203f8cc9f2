#pragma once

#include <string>
#include <vector>

#include "brewday/brew_plan.h"
#include "brewday/recipe.h"
#include "reports/day_sheet.h"
#include "wording/display.h"

namespace gyle {

// One number of a plan as the brewer reads it.
struct PlanFact {
  std::string label;  // "Strike water"
  std::string value;  // "70.2 °C"
  std::string more;   // a phrase beside it; may be empty
};

// Water, temperatures, kettle, gravities and yeast.
std::vector<PlanFact> plan_facts(const Recipe& recipe, const BrewPlan& plan, const DisplaySettings& display);

// The basis of the numbers, a sentence each: given by the recipe, or the usual value where it gives none.
std::vector<std::string> plan_assumptions(const Recipe& recipe, const BrewPlan& plan, const DaySheet& sheet,
                                          const DisplaySettings& display);

}  // namespace gyle
