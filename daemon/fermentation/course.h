#pragma once

#include <array>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "fermentation/course_shapes.h"
#include "fermentation/gravity_history.h"
#include "fermentation/sensor_noise.h"

namespace gyle {

// The fall of sugar that was added to the beer: it begins at once and slows down exponentially.
struct AddedFall {
  double thermal_h;  // when it was added
  double fall;       // points

  double done(double at_thermal_h) const;  // 0 to 1
  double rate(double at_thermal_h) const;  // per thermal hour
};

// What is known before the first reading. Points.
struct CoursePrior {
  std::optional<double> original;         // as the brewer measured it
  std::optional<double> likely_original;  // as the hydrometer makes it more likely; absent: as measured
  double attenuation_middle;
  double attenuation_half_width;
  // ln of the thermal hours from the pitch to half of the fall, of this yeast: mean, standard deviation.
  std::optional<std::pair<double, double>> log_half_fall = {};
  std::vector<AddedFall> added = {};  // included in the attenuation
};

// One possible course of a batch, with its weight. Points; thermal hours since the pitch.
struct CourseDraw {
  const CourseShape* shape;
  double weight;
  double start;  // as the hydrometer shows it at its reference temperature, points
  double fall;
  double half_h;  // from the end of the lag to the half of the fall
  double lag_h;
  double warmth_slope;
  std::shared_ptr<const std::vector<AddedFall>> added = {};  // included in the fall; null: none

  double done(double thermal_h) const {
    const double own = shape->at((thermal_h - lag_h) / half_h).done;
    return added ? with_added(own, thermal_h) : own;
  }
  double when(double done_wanted) const {
    const double own = lag_h + half_h * shape->when(done_wanted);
    return added ? when_with_added(done_wanted, own) : own;
  }
  double final() const { return start - fall; }  // as the hydrometer will show it

 private:
  double with_added(double own_done, double thermal_h) const;
  double when_with_added(double done_wanted, double own) const;
};

// Fits every shape of fall to the readings of a hydrometer, robustly and with a prior, and draws possible
// courses from each fit: their weighted quantiles are the forecast. Shapes are weighted by how well they
// explain the readings, so that the forecast does not rest on a single one.
//   cost  a few tenths of a millisecond; deterministic
class CourseFit {
 public:
  void refit(std::span<const HourMean> hours, double now_h, const SensorNoise& noise,
             const CoursePrior& prior);

  bool ready() const { return !draws_.empty(); }
  std::span<const CourseDraw> draws() const { return draws_; }
  // Expected change of the level, points per thermal hour, negative.
  double rate_at(double thermal_h) const;
  // What the hydrometer will show at the end, showed at the start, and shows at any time; points at its
  // reference temperature.
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
  std::shared_ptr<const std::vector<AddedFall>> added_;
  int refits_ = 0;
};

// A value of each draw, and their weighted quantile.
struct WeightedValue {
  double value;
  double weight;
};
double weighted_quantile(std::vector<WeightedValue>& values, double p);

}  // namespace gyle
