#include "series/equivalence.h"

#include <algorithm>
#include <cmath>

#include "series/student_t.h"

namespace gyle {

double equivalence_p(double estimate, double standard_error, double degrees_freedom, double margin) {
  if (standard_error <= 0) return std::abs(estimate) < margin ? 0.0 : 1.0;
  const double above_low = student_t_cdf(-(estimate + margin) / standard_error, degrees_freedom);
  const double below_high = student_t_cdf((estimate - margin) / standard_error, degrees_freedom);
  return std::max(above_low, below_high);
}

}  // namespace gyle
