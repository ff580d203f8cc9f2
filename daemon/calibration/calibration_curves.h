#pragma once

#include <functional>
#include <map>
#include <string>

#include "calibration/inclination_fit.h"
#include "series/reading.h"

namespace gyle {

// The current curves, by sensor.
using CalibrationCurves = std::map<std::string, CalibrationCurve, std::less<>>;

// Passes a reading of the journal on to the judgement. For a calibrated hydrometer
//   inclination  is followed by the gravity of its curve, unless it is outside the curve's range
//   gravity      computed by the sensor itself is dropped
// The curve is not corrected for temperature: the liquid expands, some two points from 10 to 20 degC, and the
// judgement estimates each sensor's temperature dependence itself (fermentation/gravity_track.h).
//   order  live, at a restart and in a replay the same readings in the same order
//   cost   one search in a small map
//   tests  unit/calibration/calibration_curves_test.cpp
void as_judged(const Reading& reading, const CalibrationCurves& curves,
               const std::function<void(const Reading&)>& learn);

}  // namespace gyle
