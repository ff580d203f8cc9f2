#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "fermentation/float_noise.h"
#include "fermentation/gravity_history.h"

namespace gyle {

// How much of the whole fall is done after a thermal time, by several published forms of growth curve.
enum class CourseShape {
  richards,   // five-parameter logistic: a slow end
  mirrored,   // the same, turned round: a slow start
  with_tail,  // logistic, and a part of the sugar that goes much slower
};
constexpr std::size_t kCourseShapes = 3;

// What is unknown about a course. All but `warmth_slope` and the offset are the beer's.
struct CourseParameters {
  enum : std::size_t { kStart, kFall, kLogWidth, kLogMiddle, kShape, kWarmthSlope, kOffset, kCount };
  using Vector = std::array<double, kCount>;
};

// A form with its parameters made ready: fraction of the fall done, 0 at the pitch, 1 at the end.
class CourseCurve {
 public:
  // width: thermal hours from 10 to 90 %; middle: thermal hours to the half (both of the plain logistic)
  CourseCurve(CourseShape shape, double log_width, double log_middle, double shape_parameter);
  double done(double thermal_h) const;
  // Thermal time at which the fraction `done` is reached; capped at kNever.
  double when(double done) const;
  static constexpr double kNever = 5000;

 private:
  double raw(double thermal_h) const;
  CourseShape shape_;
  double k_, middle_, s_;
  double at_pitch_;
};

// What is known before the first reading. Points.
struct CoursePrior {
  std::optional<double> original;  // as the brewer measured it
  double attenuation_middle;
  double attenuation_half_width;
};

struct HandSample {
  double thermal_h;
  double points;
};

// One possible course with its weight.
struct CourseDraw {
  CourseCurve curve;
  double weight;
  double start;   // true, points
  double fall;    // points
  double offset;  // of the float: shown - true
  double warmth_slope;
  double shown_at(double thermal_h, double warmth) const {
    return start + offset - fall * curve.done(thermal_h) + warmth_slope * warmth;
  }
  double true_at(double thermal_h) const { return start - fall * curve.done(thermal_h); }
  double final() const { return start - fall; }
};

// Fits every shape to what a float has shown, robustly and under the prior, and draws possible courses from
// each: their weighted quantiles are the forecast.
//   cost  about half a millisecond; deterministic
class CourseFit {
 public:
  void refit(std::span<const HourMean> hours, double now_h, const FloatNoise& noise, const CoursePrior& prior,
             std::span<const HandSample> samples);

  bool ready() const { return !draws_.empty(); }
  // Expected change of the level, points per thermal hour, negative.
  double rate_at(double thermal_h) const;
  double end_shown() const;  // where the float will end, points at its reference temperature

  std::span<const CourseDraw> draws() const { return draws_; }
  const std::array<double, kCourseShapes>& shape_weights() const { return weights_; }

 private:
  std::array<std::optional<CourseParameters::Vector>, kCourseShapes> last_;
  std::array<double, kCourseShapes> weights_{};
  std::vector<CourseDraw> draws_;
};

// Weighted quantile of what `value` says of each draw.
struct WeightedValue {
  double value;
  double weight;
};
double weighted_quantile(std::vector<WeightedValue>& values, double p);

}  // namespace gyle
