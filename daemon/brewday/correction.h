#pragma once

#include <optional>

#include "base/result.h"
#include "base/time.h"
#include "brewday/wort.h"

namespace gyle {

// A wort before its boil, and the plan for it.
struct BoilAhead {
  Wort wort;                        // as measured; without the sugar
  Duration boil = hours(1);         // as planned
  double evaporation_kg_per_h = 0;  // water boiled away
  double sugar_kg = 0;              // still to be added, and
  double sugar_extract_kg = 0;      // the extract in it
};

// What to do when the wort is not as planned. At most one of the two remedies is present: a weak wort is
// boiled longer, a strong one is diluted; within half a point neither is needed.
struct Corrections {
  Wort accepted;  // after the planned boil: its gravity is the original gravity to expect
  struct Longer {
    Duration more;  // beyond the planned boil
    Wort wort;      // the wort then
  };
  std::optional<Longer> longer;
  struct Dilution {
    double water_l;  // at 20 degC, at any time of the boil
    Wort wort;       // after the boil
  };
  std::optional<Dilution> dilution;
  bool weak = false;  // more than half a point below the wanted gravity
};

// Extract is conserved; water boils away or is added.
//   errors  Errc::out_of_range: the boil would leave nothing, or more than 30 degP; the wanted gravity is not
//           between 1.005 and 1.130; no extract was measured; evaporation negative. A weak wort that would
//           have to boil for another day has no `longer`.
//   tests   unit/brewday/correction_test.cpp
Result<Corrections> correct_boil(const BoilAhead& ahead, SpecificGravity wanted);

}  // namespace gyle
