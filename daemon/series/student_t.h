#pragma once

namespace gyle {

// Quantiles and distribution functions, by Boost.Math. p in (0, 1), degrees of freedom > 0.
double student_t_quantile(double p, double degrees_freedom);
double student_t_cdf(double t, double degrees_freedom);
double normal_quantile(double p);
double normal_cdf(double z);

}  // namespace gyle
