#pragma once

#include "units/alcohol.h"

namespace gyle {

// Food energy.
struct Energy {
  double kj;
  double kcal;
};

// In so many litres of a beer with this gravity: its alcohol at 29 kJ (7 kcal) a gram, and its real extract,
// all counted as carbohydrate and protein, at 17 kJ (4 kcal) a gram. 2 to 3 % of the extract are minerals:
// the result is too high by that share at most.
//   source  conversion factors of Regulation (EU) No 1169/2011, annex XIV, from memory
Energy energy_in(double litres, const AlcoholRoutes& beer, SpecificGravity present);

}  // namespace gyle
