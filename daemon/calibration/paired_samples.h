#pragma once

#include <span>
#include <vector>

#include "calibration/inclination_fit.h"
#include "series/reading.h"

namespace gyle {

struct PairedSamples {
  std::vector<CalibrationPoint> points;
  std::vector<Reading> alone;  // samples for which no inclination is known
};

// Hand samples of a beer with how the float tilted in it then: the median of its inclinations within an hour
// of the sample. In an hour a fermenting beer changes by half a point at most, and rocking foam is averaged
// out. `inclinations` are the readings of one sensor, other quantities and readings of unknown time passed
// over.
PairedSamples paired_samples(std::span<const Reading> samples, std::span<const Reading> inclinations);

}  // namespace gyle
