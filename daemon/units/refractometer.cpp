#include "units/refractometer.h"

#include <fmt/format.h>

namespace gyle {
namespace {

constexpr double kFinishedShare = 0.6;  // of the original reading

double finished(double i, double f) {
  return 1 + i * (-0.0044993 + i * (0.000275806 - 0.00000727999 * i)) +
         f * (0.0117741 + f * (-0.00127169 + 0.0000632929 * f));
}

Status check(double reading, double wort_correction) {
  if (!(reading >= 0 && reading <= 40)) {
    return fail(Errc::out_of_range,
                fmt::format("a refractometer shows 0 to 40 degrees Brix or Plato, not {}", reading));
  }
  if (!(wort_correction >= 0.9 && wort_correction <= 1.2)) {
    return fail(Errc::out_of_range,
                fmt::format("the wort correction must be from 0.9 to 1.2 (usual: {}), not {}",
                            kWortCorrection, wort_correction));
  }
  return success();
}

}  // namespace

Result<SpecificGravity> refractometer_wort_gravity(double reading, double wort_correction) {
  BOOST_OUTCOME_TRYV(check(reading, wort_correction));
  return SpecificGravity::from(to_specific_gravity(Plato{reading / wort_correction}).value());
}

Result<SpecificGravity> refractometer_gravity(double reading, SpecificGravity original,
                                              double wort_correction) {
  BOOST_OUTCOME_TRYV(check(reading, wort_correction));
  if (!(original.value() >= 1.020 && original.value() <= 1.130)) {
    return fail(Errc::out_of_range,
                "a refractometer says nothing of beer whose original gravity is not "
                "from 1.020 to 1.130; use a hydrometer");
  }
  const double before = to_plato(original).value;
  const double after = reading / wort_correction;
  const double bend = kFinishedShare * before;
  if (refractometer_by_cubic(reading, original, wort_correction)) {
    return SpecificGravity::from(finished(before, after));
  }
  const double at_bend = finished(before, bend);
  return SpecificGravity::from(at_bend + (original.value() - at_bend) * (after - bend) / (before - bend));
}

bool refractometer_by_cubic(double reading, SpecificGravity original, double wort_correction) {
  return reading / wort_correction <= kFinishedShare * to_plato(original).value;
}

}  // namespace gyle
