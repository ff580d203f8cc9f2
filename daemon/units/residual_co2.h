#pragma once

#include "base/result.h"
#include "units/temperature.h"

namespace gyle {

// Carbon dioxide that beer still holds after fermenting at this temperature under the air's pressure only,
// in volumes (litres of gas at 0 degC and one atmosphere in a litre of beer): 3.0378 - 0.050062 F
// + 0.00026555 F^2, F in degrees Fahrenheit. The warmest temperature since the end counts, because gas that
// has left does not come back. 5 to 10 % uncertain.
//   source  M. L. Hall, Zymurgy, 1995; coefficients from memory
//   errors  Errc::out_of_range: the temperature is not between 0 and 30 degC
Result<double> residual_co2_volumes(Celsius warmest);

}  // namespace gyle
