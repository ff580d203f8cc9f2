#include "series/robust_statistics.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace gyle {

double median_in_place(std::span<double> values) {
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return (*middle + *std::max_element(values.begin(), middle)) / 2;
}

double median(std::span<const double> values) {
  std::vector<double> copy(values.begin(), values.end());
  return median_in_place(copy);
}

double mad_sigma(std::span<const double> values) {
  std::vector<double> distances(values.begin(), values.end());
  const double centre = median_in_place(distances);
  for (double& value : distances) value = std::abs(value - centre);
  return kMadToSigma * median_in_place(distances);
}

std::vector<HampelVerdict> hampel(std::span<const double> values, std::size_t half_window, double threshold) {
  std::vector<HampelVerdict> verdicts;
  verdicts.reserve(values.size());
  for (std::size_t i = 0; i < values.size(); ++i) {
    const std::size_t first = i < half_window ? 0 : i - half_window;
    const std::size_t last = std::min(values.size(), i + half_window + 1);
    const auto window = values.subspan(first, last - first);
    const double centre = median(window);
    const double sigma = mad_sigma(window);
    verdicts.push_back({centre, sigma, std::abs(values[i] - centre) > threshold * sigma});
  }
  return verdicts;
}

double huber_weight(double residual, double k) {
  const double size = std::abs(residual);
  return size <= k ? 1.0 : k / size;
}

double student_weight(double residual, double degrees_freedom) {
  return std::min(1.0, (degrees_freedom + 1) / (degrees_freedom + residual * residual));
}

}  // namespace gyle
