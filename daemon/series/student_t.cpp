#include "series/student_t.h"

#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace gyle {

double student_t_quantile(double p, double degrees_freedom) {
  return boost::math::quantile(boost::math::students_t(degrees_freedom), p);
}

double student_t_cdf(double t, double degrees_freedom) {
  return boost::math::cdf(boost::math::students_t(degrees_freedom), t);
}

double normal_quantile(double p) { return boost::math::quantile(boost::math::normal(), p); }

double normal_cdf(double z) { return boost::math::cdf(boost::math::normal(), z); }

}  // namespace gyle
