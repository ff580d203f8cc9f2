#include "fermentation/warmth_ahead.h"

#include <algorithm>

namespace gyle {

double WarmthAhead::hour_of(double thermal_h, double step_thermal_h) const {
  const double step_u = std::max(step_thermal_h, now_thermal_h);
  const double planned = thermal_h <= step_thermal_h ? now_h + (thermal_h - now_thermal_h) / speed_now
                                                     : now_h + (step_u - now_thermal_h) / speed_now +
                                                           (thermal_h - step_u) / speed_next;
  if (!supposed || planned <= supposed->from_h) return planned;
  const double step_h = now_h + (step_u - now_thermal_h) / speed_now;
  const double before_step_h = std::min(supposed->from_h, step_h) - now_h;
  const double after_step_h = std::max(supposed->from_h - step_h, 0.0);
  const double done = now_thermal_h + before_step_h * speed_now + after_step_h * speed_next;
  return supposed->from_h + (thermal_h - done) / supposed->speed;
}

}  // namespace gyle
