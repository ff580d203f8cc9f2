#include "fermentation/offset_correction.h"

namespace gyle {

std::vector<CurvePoint> without_offset(std::span<const CurvePoint> curve, const BatchView& view) {
  std::vector<CurvePoint> corrected(curve.begin(), curve.end());
  if (!view.offset) return corrected;
  const double off = view.offset->value.value / 1000;
  for (CurvePoint& point : corrected) {
    point.gravity_raw -= off;
    point.gravity.value -= off;
    point.gravity.low -= off;
    point.gravity.high -= off;
  }
  return corrected;
}

}  // namespace gyle
