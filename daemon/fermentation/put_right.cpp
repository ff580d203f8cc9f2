#include "fermentation/put_right.h"

namespace gyle {

std::vector<CurvePoint> put_right(std::span<const CurvePoint> curve, const BatchView& view) {
  std::vector<CurvePoint> right(curve.begin(), curve.end());
  if (!view.float_offset) return right;
  const double off = view.float_offset->value / 1000;
  for (CurvePoint& point : right) {
    point.gravity_raw -= off;
    point.gravity.value -= off;
    point.gravity.low -= off;
    point.gravity.high -= off;
  }
  return right;
}

}  // namespace gyle
