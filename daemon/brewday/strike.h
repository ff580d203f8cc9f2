#pragma once

#include <optional>

#include "base/result.h"
#include "units/temperature.h"

namespace gyle {

constexpr double kWaterHeat = 4.18;  // kJ/(kg K), between 20 and 80 degC

// What malt does to the temperature of a mash. `specific_heat` is relative to water; `slaking` is the rise by
// the heat that dry malt gives off as it is wetted, in a mash of kSlakingThickness.
struct MaltHeat {
  double specific_heat = 0.40;
  CelsiusDelta slaking{0};
};
// Kilograms of water per kilogram of malt for which the rises are tabulated, as far as can be seen from the
// example beside the table. A thinner mash rises less: there is more to warm.
constexpr double kSlakingThickness = 2.68;

// By the malt's moisture, a fraction: between the rows of the table.
//   range   0 to 0.08, else Errc::out_of_range
//   source  Pauls & Whites Brewing Room Book 1984/85
Result<MaltHeat> malt_heat(double moisture);

// The parts of the mash, and its kettle.
struct MashHeat {
  double water_kg = 0;
  double grain_kg = 0;
  Celsius grain{20};
  MaltHeat malt;
  double kettle_kj_per_k = 0;       // mass times specific heat: steel 0.50, aluminium 0.90 kJ/(kg K)
  std::optional<Celsius> kettle{};  // its temperature before; absent: it was heated with the water
};

// How hot the water must be for the mash to reach `mash`, by heat balance without losses to the air.
//   range   water and grain above 0 kg, mash 30 to 80 degC, grain -20 to 60 degC, kettle heat 0 or more;
//           else Errc::out_of_range, as when the water would have to be hotter than it boils
//   source  textbook form: Briggs et al., Brewing: Science and Practice, 2004
//   tests   unit/brewday/strike_test.cpp
Result<Celsius> strike_temperature(const MashHeat& heat, Celsius mash);

// The temperature of the mash when the water is at `strike`: the inverse. Range of the strike 0 to 100 degC.
Result<Celsius> mash_temperature(const MashHeat& heat, Celsius strike);

}  // namespace gyle
