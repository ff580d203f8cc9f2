#pragma once

#include <optional>
#include <span>

#include "base/result.h"
#include "brewday/gravity_expected.h"

namespace gyle {

constexpr double kEbcPerSrm = 1.97;

// Colour of malt as maltsters write it, in degrees EBC: "6 EBC", or "3 L" in degrees Lovibond.
//   range   0 to 2000 EBC; Errc::malformed or out_of_range, with the form or the range
//   source  SRM = 1.3546 degrees Lovibond - 0.76 and EBC = 1.97 SRM, from memory
Result<double> parse_malt_colour(std::string_view text);

// Colour of the beer in degrees EBC by two published formulas; `mosher` is absent where it does not hold, in the palest
// beers. Kettle, pH and oxygen change it by a fifth and more.
struct BeerColour {
  double morey_ebc;
  std::optional<double> mosher_ebc;
};

// By the malt colour units: pounds times degrees Lovibond in a US gallon. Absent when the colour of one that
// is mashed or boiled is not known.
//   volume  litres after the boil, at 20 degC, trub included; above 0
//   source  D. Morey 1995: SRM = 1.4922 MCU^0.6859, for less than 50 SRM; R. Mosher 1994: SRM = 0.3 MCU + 4.7,
//           from 7 MCU on; both from memory
//   tests   unit/brewday/beer_colour_test.cpp
std::optional<BeerColour> beer_colour(std::span<const Fermentable> all, double volume_l);

}  // namespace gyle
