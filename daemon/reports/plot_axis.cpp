#include "reports/plot_axis.h"

#include <cmath>

namespace gyle {

double round_step(double range, int most) {
  const double least = range / most;
  const double power = std::pow(10.0, std::floor(std::log10(least)));
  for (const double digit : {1.0, 2.0, 5.0}) {
    if (digit * power >= least * (1 - 1e-9)) return digit * power;
  }
  return 10 * power;
}

std::vector<double> round_values(double low, double high, double step) {
  std::vector<double> values;
  const double last = std::floor(high / step + 1e-6);
  for (double n = std::ceil(low / step - 1e-6); n <= last && values.size() < 100; ++n)
    values.push_back(n * step);
  return values;
}

}  // namespace gyle
