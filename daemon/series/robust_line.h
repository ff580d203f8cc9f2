#pragma once

#include <span>

#include "base/result.h"

namespace gyle {

struct RobustLine {
  double slope;
  double slope_low;  // 95 % interval by Kendall's statistic
  double slope_high;
  double intercept;  // median(y) - slope median(t)
};

// Median of the slopes between all pairs: withstands up to 29 % of outliers.
//   in      t and y of equal length, finite; fewer than 3 different times -> Errc::too_few
//   cost    O(n^2 log n): meant for n up to about 100; keeps no state
//   source  Theil 1950; Sen 1968
Result<RobustLine> theil_sen(std::span<const double> t, std::span<const double> y);

struct WeightedLine {
  double slope;
  double slope_se;  // of independent residuals; the caller widens it when they are not
  double centre;    // value of the line at the weighted mean time
  double centre_t;
  double scale;            // of the residuals, robust
  double degrees_freedom;  // observations - 2
  double autocorrelation;  // of neighbouring residuals, [-0.99, 0.99]
};

// Line by iteratively reweighted least squares with Huber's weights (k = 1.345) and the residuals' MAD
// about zero as scale; an exact fit stops with scale 0.
//   in      as theil_sen
//   source  Huber 1964; the scale and constant of the usual robust regression packages
Result<WeightedLine> huber_line(std::span<const double> t, std::span<const double> y);

}  // namespace gyle
