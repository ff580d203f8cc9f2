#pragma once

#include "base/result.h"
#include "units/temperature.h"

namespace gyle {

// One volume of carbon dioxide is a litre of gas at 0 degC and one atmosphere in a litre of beer: 1.977 g/L,
// the real gas. (An ideal gas would have 1.96.)
constexpr double kCo2GramsPerVolume = 1.977;

// Fits of the equilibrium of carbon dioxide in beer, its temperature and its pressure. Known to 5 to 10 %
// only: beers differ.
enum class CarbonationFit {
  // Henry's law: 10 P exp(-10.73797 + 2617.25 / T) g/L, P absolute in bar, T in kelvin. From memory; a
  // published lager held 6 % less at 6 degC.
  henry,
  // A. J. deLange's fit to the chart of the ASBC, (psi + 14.695) (0.01821 + 0.090115 exp(-(F - 32) / 43.11))
  // - 0.003342 volumes, psi of the gauge, F in degrees Fahrenheit. From memory. Where the chart comes from is
  // not known; it fits a beer of 4.2 % by weight (Speers and MacIntosh, J. Am. Soc. Brew. Chem. 71 (2013)
  // 242).
  chart,
};

// Volumes in beer in equilibrium at this temperature under this pressure on the gauge, in bar. The fits
// were made for 0 to 25 degC and 0 to 2.5 bar; within that they agree to 2 %.
//   errors  Errc::out_of_range: not from -2 to 45 degC, or not from -1 to 20 bar
Result<double> carbonation_volumes(Celsius beer, double gauge_bar, CarbonationFit fit);

// Its inverse: bar on the gauge over beer in equilibrium that holds so many volumes. Negative: less than the
// air's pressure keeps them in.
//   errors  Errc::out_of_range: not from -2 to 45 degC, or not above 0 and up to 20 volumes
Result<double> carbonation_gauge_bar(Celsius beer, double volumes, CarbonationFit fit);

// The higher of the two fits, for containers that must not burst.
Result<double> most_gauge_bar(Celsius beer, double volumes);

}  // namespace gyle
