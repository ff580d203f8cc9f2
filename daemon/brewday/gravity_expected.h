#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "brewday/water.h"
#include "brewday/wort.h"

namespace gyle {

// An ingredient that gives extract.
struct Fermentable {
  std::string name;
  double mass_kg = 0;
  double extract = 0;  // the most there is in it, as a share of its mass as weighed
  std::optional<double> colour_ebc = {};
};

// Moisture of malt where its own is not known: common practice, no source.
constexpr double kUsualMoisture = 0.04;

// A fermentable's potential as maltsters and brewers write it, as a share of its mass:
//   "80 %"        of the mass as weighed
//   "81 % dry"    of the dry matter (fine grind), as an analysis states it; `moisture` is taken off
//   "37 ppg"      points per pound in a US gallon
//   "1.037 SG"    the gravity of a pound in a US gallon
// Above 0, at most the mass itself; Errc::malformed or out_of_range, with the expected form or range.
Result<double> parse_extract(std::string_view text, double moisture = kUsualMoisture);

// The most that grain, mashed, and sugar, all of which dissolves, can give in kg.
struct Potential {
  double mash_kg = 0;
  double sugar_kg = 0;
};

struct ExpectedWort {
  Wort pre_boil;   // the sugar not yet in it
  Wort post_boil;  // batch and trub; its gravity is the original gravity
};

// The wort before and after the boil when the mash gives `mash_efficiency` of what the grain has. Extract is
// conserved, water boils away.
//   range   efficiency above 0 and up to 1, the needs as of plan_water, wort up to 30 degP; else
//           Errc::out_of_range
//   tests   unit/brewday/gravity_expected_test.cpp
Result<ExpectedWort> expect_wort(const WaterNeeds& needs, const Potential& potential, double mash_efficiency);

}  // namespace gyle
