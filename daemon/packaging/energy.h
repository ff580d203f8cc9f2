#pragma once

#include "units/alcohol.h"

namespace gyle {

// What a body gets from it.
struct Energy {
  double kj;
  double kcal;
};

// In so many litres of a beer with this gravity: its alcohol at 29 kJ (7 kcal) a gram, its real extract, all
// of it taken for carbohydrate and protein, at 17 kJ (4 kcal) a gram; 2 to 3 % of the extract are minerals,
// which is as much too high at most.
//   source  conversion factors of Regulation (EU) No 1169/2011, annex XIV, from memory
Energy energy_in(double litres, const AlcoholRoutes& beer, SpecificGravity present);

}  // namespace gyle
