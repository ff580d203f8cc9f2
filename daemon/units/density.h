#pragma once

#include "base/result.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {

// Density of pure, air-free water at one atmosphere in kg/m3, for 0 to 100 degC.
//   source  G. S. Kell, J. Chem. Eng. Data 20 (1975) 97; 0.003 kg/m3 from Tanaka et al. 2001 up to 40 degC
double water_density(Celsius temperature);

// Apparent specific gravity 20/20 of a liquid that has this density at 20 degC, weighed in air as the sucrose
// tables are. Range 950 to 1200 kg/m3, else Errc::out_of_range.
Result<SpecificGravity> from_density(double kg_per_m3);

// The inverse: density at 20 degC in kg/m3 of a liquid of this apparent gravity.
double to_density(SpecificGravity gravity);

}  // namespace gyle
