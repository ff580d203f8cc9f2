#pragma once

#include <span>
#include <vector>

#include "calibration/inclination_fit.h"
#include "series/reading.h"

namespace gyle {

struct PairedSamples {
  std::vector<CalibrationPoint> points;
  std::vector<Reading> unpaired;  // samples without an inclination
};

// Pairs hand samples with the hydrometer's inclination: the median within an hour of the sample. In an hour a
// fermenting beer changes by half a point at most, and the median removes the movement by foam.
//   inclinations  readings of one sensor; other quantities and readings of unknown time are ignored
//   tests         unit/calibration/paired_samples_test.cpp
PairedSamples paired_samples(std::span<const Reading> samples, std::span<const Reading> inclinations);

}  // namespace gyle
