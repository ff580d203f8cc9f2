#include "calibration/paired_samples.h"

#include <chrono>

#include "series/robust_statistics.h"

namespace gyle {
namespace {

constexpr Duration kNear = hours(1);

}  // namespace

PairedSamples paired_samples(std::span<const Reading> samples, std::span<const Reading> inclinations) {
  PairedSamples result;
  for (const Reading& sample : samples) {
    std::vector<double> near;
    for (const Reading& inclination : inclinations) {
      if (inclination.quantity == Quantity::inclination && inclination.time_quality != TimeQuality::backlog &&
          std::chrono::abs(inclination.time - sample.time) <= kNear) {
        near.push_back(inclination.value);
      }
    }
    const auto gravity = SpecificGravity::from(sample.value);
    if (near.empty() || !gravity) {
      result.unpaired.push_back(sample);
    } else {
      result.points.push_back({median_in_place(near), gravity.value()});
    }
  }
  return result;
}

}  // namespace gyle
