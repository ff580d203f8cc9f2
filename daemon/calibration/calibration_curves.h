#pragma once

#include <functional>
#include <map>
#include <string>

#include "calibration/inclination_fit.h"
#include "series/reading.h"

namespace gyle {

// The curves in force, by sensor.
using CalibrationCurves = std::map<std::string, CalibrationCurve, std::less<>>;

// What the judgement learns of a reading that the journal has: of a calibrated sensor also the gravity that
// its inclination means, right after the inclination. A inclination outside the range means none. The gravity
// that such a sensor works out itself is passed over: who calibrates a float wants to have that used. The
// curve is the float's own; it is taken alike at every temperature. What remains is that the liquid expands,
// some two points from 10 to 20 degC, and how readings go with the temperature is the judgement's to find out
// (fermentation/gravity_track.h), for this float as for one that tells a gravity.
//   cost  one search in a small map; the same live, after a restart and in a replay
void as_judged(const Reading& reading, const CalibrationCurves& curves,
               const std::function<void(const Reading&)>& learn);

}  // namespace gyle
