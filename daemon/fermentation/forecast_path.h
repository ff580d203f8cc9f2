#pragma once

#include <vector>

#include "fermentation/view.h"

namespace gyle {

struct PathPoint {
  Time time;
  Interval gravity;
};

// The way from the gravity known last to the forecast final gravity, as every picture draws it: what is left shrinks by
// the same share in the same time, slowly at first while the batch is in its lag. The value, and each end of its interval, is
// within 0.0005 SG of its final gravity at its final time.
//   now     the gravity at the time `at`
//   out     kPathPoints, from `now` to half a day after the last final time, at most 30 days on; empty without a forecast
//           or when its time has passed
//   tests   unit/fermentation/forecast_path_test.cpp
inline constexpr int kPathPoints = 61;
std::vector<PathPoint> forecast_path(const Interval& now, Time at, Stage stage, const Forecast& forecast);

}  // namespace gyle
