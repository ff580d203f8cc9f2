#pragma once

#include <array>
#include <span>
#include <vector>

namespace gyle {

// Published forms of a fall. Each gives the fraction of the fall that is done, rising from 0 to 1.
// ASBC Yeast-14; Speers, Rogers and Smith 2003. `middle`: time of the half; rate: |B|.
double logistic_done(double t, double rate, double middle);
// The five-parameter form (Richards): asymmetry 1 is the logistic.
double richards_done(double t, double rate, double middle, double asymmetry);
// Zwietering and co-workers 1990, A = 1: slope at the inflection, and where its tangent meets 0.
double gompertz_done(double t, double slope, double lag);

// Cells that leave the lag phase, ferment, die and sediment (de Andres-Toro and co-workers 1998), at a
// temperature at which they finish, 8 to 13 degC: every quarter of an hour from the pitch on.
std::vector<double> settling_cells_done(double celsius);

// A form on a grid: time runs from the end of the lag, in units of the time to half of the fall.
class CourseShape {
 public:
  // `done[i]` at `i * step_h` hours, rising to its end; scaled so that the end is 1 and half is reached at x
  // = 1.
  CourseShape(std::span<const double> done, double step_h, double prior);

  struct Value {
    double done;
    double slope;  // per unit of x
  };
  Value at(double x) const;
  double when(double done) const;          // x; at most kNever
  double prior() const { return prior_; }  // how common it is

  static constexpr double kNever = 200;

 private:
  static constexpr double kMost = 16;  // beyond: an exponential end
  static constexpr std::size_t kPerUnit = 16;
  static constexpr std::size_t kKnots = static_cast<std::size_t>(kMost) * kPerUnit + 1;
  std::array<double, kKnots> done_;
  std::array<double, kKnots> slope_;
  double end_rate_;
  double prior_;
};

// Several members of every family: sigmoids, sigmoids with a slow share, two rates without a lag, stretched
// exponentials, limited growth, sugars one after the other (Gee and Ramirez 1988) and sedimenting cells
// (de Andres-Toro and co-workers 1998). Made once, always the same.
const std::vector<CourseShape>& course_shapes();

}  // namespace gyle
