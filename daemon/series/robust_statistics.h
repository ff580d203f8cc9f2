#pragma once

#include <span>
#include <vector>

namespace gyle {

// Makes a median absolute deviation estimate the standard deviation of normal noise: 1 / Phi^-1(3/4).
constexpr double kMadToSigma = 1.482602218505602;

// Middle value; the mean of the two middle ones for an even count. NaN when empty. `values` is reordered.
double median_in_place(std::span<double> values);
double median(std::span<const double> values);

// Median distance from the median, times kMadToSigma. NaN when empty.
double mad_sigma(std::span<const double> values);

struct HampelVerdict {
  double median;
  double sigma;
  bool outlier;  // strictly farther from the median than `threshold` sigmas
};

// Judges each value against the window of `half_window` neighbours on either side, cut at the ends.
//   source  Hampel 1974; Pearson 2002
//   cost    O(n w log w); keeps no state
std::vector<HampelVerdict> hampel(std::span<const double> values, std::size_t half_window, double threshold);

// Weight of a residual measured in standard deviations.
double huber_weight(double residual, double k = 1.345);          // Huber 1964
double student_weight(double residual, double degrees_freedom);  // of the t likelihood, 1 at most

}  // namespace gyle
