#pragma once

#include <optional>

#include "base/result.h"
#include "base/time.h"
#include "brewday/wort.h"

namespace gyle {

// A wort before its boil, and what is to become of it.
struct BoilAhead {
  Wort wort;                        // as measured; without the sugar
  Duration boil = hours(1);         // as planned
  double evaporation_kg_per_h = 0;  // water boiled away
  double sugar_kg = 0;              // still to be added, and
  double sugar_extract_kg = 0;      // what it brings
};

// What can be done when it is not as planned. Of the two remedies at most one is there: a wort too weak is
// boiled longer, one too strong is diluted; within half a point neither.
struct Corrections {
  Wort accepted;  // after the planned boil: its gravity is the original gravity to expect
  struct Longer {
    Duration more;  // beyond the planned boil
    Wort wort;      // what there is then
  };
  std::optional<Longer> longer;
  struct Dilution {
    double water_l;  // at 20 degC, at any time of the boil
    Wort wort;       // after the boil
  };
  std::optional<Dilution> dilution;
  bool weak = false;  // below what is wanted by more than half a point
};

// Extract is conserved; water boils away or is added.
//   errors  Errc::out_of_range: the boil would leave nothing, or more than 30 degP; the wanted gravity is not
//           between 1.005 and 1.130; no extract was measured; evaporation negative. A weak wort that would
//           have to boil for a day more has no `longer`.
//   tests   unit/brewday/correction_test.cpp
Result<Corrections> correct_boil(const BoilAhead& ahead, SpecificGravity wanted);

}  // namespace gyle
