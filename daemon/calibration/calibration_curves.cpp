#include "calibration/calibration_curves.h"

namespace gyle {

void as_judged(const Reading& reading, const CalibrationCurves& curves,
               const std::function<void(const Reading&)>& learn) {
  const auto found = curves.find(reading.sensor);
  if (found == curves.end()) {
    learn(reading);
    return;
  }
  if (reading.quantity != Quantity::gravity) learn(reading);
  if (reading.quantity != Quantity::inclination) return;
  if (const auto gravity = found->second.gravity(reading.value)) {
    Reading converted = reading;
    converted.quantity = Quantity::gravity;
    converted.value = gravity->value();
    learn(converted);
  }
}

}  // namespace gyle
