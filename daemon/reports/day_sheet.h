#pragma once

#include <string>
#include <vector>

#include "base/time.h"
#include "brewday/brew_plan.h"
#include "brewday/recipe.h"
#include "wording/display.h"

namespace gyle {

// One step of the day.
struct DayStep {
  Duration at{0};       // since the start
  Duration lasts{0};    // until the next step, at most
  std::string what;     // a few words: "Dough in"
  std::string how;      // one or two sentences, in the brewer's units
  std::string caution;  // what may burn, scald or strain the back; may be empty
};

struct DaySheet {
  std::vector<DayStep> steps;   // in order of time; the last is the pitch
  bool heater_assumed = false;  // the recipe names none: kAssumedWatts
};

constexpr double kAssumedWatts = 2500;

// The day, from cold water to pitched yeast. Lengths that cannot be known are assumed: dough in 5 min; the
// bag drains 10 min while the wort is already heated. Heating by heat balance (brewday/heating.h).
//   source  of the cautions: water of 65 degC burns in 2 s (US CPSC document 5098, from memory); that a boil
//           rises at the first boil and at every addition, and that a full kettle is not to be lifted, is
//           common practice
//   tests   unit/reports/day_sheet_test.cpp
DaySheet day_sheet(const Recipe& recipe, const BrewPlan& plan, const DisplaySettings& display);

}  // namespace gyle
