#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "fermentation/course_shapes.h"
#include "fermentation/float_noise.h"
#include "fermentation/gravity_history.h"

namespace gyle {

// What is known before the first reading. Points.
struct CoursePrior {
  std::optional<double> original;         // as the brewer measured it
  std::optional<double> likely_original;  // with what the float says of it; absent: as measured
  double attenuation_middle;
  double attenuation_half_width;
};

// One possible course of a batch, with its weight. Points; thermal hours since the pitch.
struct CourseDraw {
  const CourseShape* shape;
  double weight;
  double start;  // as the float shows it at its reference temperature, points
  double fall;
  double half_h;  // from the end of the lag to the half of the fall
  double lag_h;
  double warmth_slope;

  double done(double thermal_h) const { return shape->at((thermal_h - lag_h) / half_h).done; }
  double when(double done_wanted) const { return lag_h + half_h * shape->when(done_wanted); }
  double final() const { return start - fall; }  // as the float will show it
};

// Fits every shape of fall to what a float has shown, robustly and under the prior, and draws possible
// courses from each fit: their weighted quantiles are the forecast. Shapes are weighed by how well they
// explain the readings, so that no single one is trusted.
//   cost  a few tenths of a millisecond; deterministic
class CourseFit {
 public:
  void refit(std::span<const HourMean> hours, double now_h, const FloatNoise& noise,
             const CoursePrior& prior);

  bool ready() const { return !draws_.empty(); }
  std::span<const CourseDraw> draws() const { return draws_; }
  // Expected change of the level, points per thermal hour, negative.
  double rate_at(double thermal_h) const;
  // Where the float will end, what it showed at the start, and at any time; points at its reference
  // temperature.
  double end_shown() const;
  double start_shown() const;
  double shown_at(double thermal_h) const;
  double done_at(double thermal_h) const;  // of the fall, 0 to 1

 private:
  enum : std::size_t { kStart, kFall, kLogHalf, kLogLag, kWarmthSlope, kCount };
  using Vector = std::array<double, kCount>;
  struct Candidate {
    Vector parameters;
    double weight = 0;
    bool fitted = false;
  };
  std::vector<Candidate> candidates_;
  std::vector<CourseDraw> draws_;
  int refits_ = 0;
};

// Weighted quantile of what `value` says of each draw.
struct WeightedValue {
  double value;
  double weight;
};
double weighted_quantile(std::vector<WeightedValue>& values, double p);

}  // namespace gyle
