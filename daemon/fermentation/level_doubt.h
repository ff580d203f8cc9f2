#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <vector>

#include "fermentation/view.h"

namespace gyle {

// A hand sample and what the hydrometer showed then, both at the hydrometer's reference temperature. Points.
struct SampleBeside {
  double shown;
  double sample;
};

// By how much the hydrometer shows more than another one in the same beer, and how well that is known. Points.
struct HydrometerBeside {
  double difference;
  double sd;
};

// The offset of a hydrometer, `shown - true`, inferred from its first readings, the original gravity that was
// entered, hand samples, and other hydrometers in the same beer, each as likely to be right as this one. A mixture of normals: most hydrometers are right to half a point, some are off
// by several, and now and then an original gravity was misread.
//   units  points
//   tests  unit/fermentation/level_doubt_test.cpp
class LevelDoubt {
 public:
  // `start_shown`: what the hydrometer showed, or would have shown, before the fermentation started;
  // `start_sd`: its standard deviation. Without an original gravity only the prior and the samples count.
  LevelDoubt(double start_shown, double start_sd, std::optional<double> original,
             std::span<const SampleBeside> samples, std::span<const HydrometerBeside> others = {});
  static constexpr std::size_t kMostOthers = 4;

  double mean() const { return mean_; }
  double sd() const { return sd_; }
  double original() const { return original_; }           // estimate of the true one
  double quantile(double p) const;                        // 0 < p < 1
  const Interval& interval() const { return interval_; }  // 80 %

 private:
  struct Part {
    double weight;
    double mean;
    double sd;
    double original;
  };
  std::vector<Part> parts_;
  double original_ = 0;
  double mean_ = 0;
  double sd_ = 0;
  Interval interval_{};
};

}  // namespace gyle
