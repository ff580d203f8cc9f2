#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <vector>

#include "fermentation/view.h"

namespace gyle {

// A hand sample beside what the float showed then, both at the float's reference temperature. Points.
struct SampleBeside {
  double shown;
  double sample;
};

// How far a float is off, seen by what it showed at the start, the original gravity that was entered, and
// hand samples. Not a normal: most floats are right to half a point, some are off by points, and now and then
// an original gravity was misread. A mixture of normals of `shown - true`.
//   units  points
//   tests  unit/fermentation/level_doubt_test.cpp
class LevelDoubt {
 public:
  // `start_shown`: what the float showed (or would have) before the beer began to work, and how well that is
  // known. Absent original: only the prior of floats and the samples speak.
  LevelDoubt(double start_shown, double start_sd, std::optional<double> original,
             std::span<const SampleBeside> samples);

  double mean() const { return mean_; }
  double sd() const { return sd_; }
  double original() const { return original_; }           // the true one, likely
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
