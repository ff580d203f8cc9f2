#pragma once

#include <vector>

namespace gyle {

// Values along one edge of a picture, low to high from `start` to `end` (which may be the smaller one).
struct PlotAxis {
  double low;
  double high;
  double start;
  double end;

  double place(double value) const { return start + (value - low) / (high - low) * (end - start); }
  bool holds(double value) const { return value >= low && value <= high; }
};

// Distance of round numbers (1, 2 or 5 times a power of ten) of which at most `most` (at least 2) divide a
// range; `range` > 0.
double round_step(double range, int most);

// The multiples of `step` in [low, high], at most a hundred.
std::vector<double> round_values(double low, double high, double step);

}  // namespace gyle
