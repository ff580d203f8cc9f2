#include "series/robust_line.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "series/robust_statistics.h"
#include "series/student_t.h"

namespace gyle {
namespace {

bool has_three_times(std::span<const double> t) {
  if (t.size() < 3) return false;
  const auto [low, high] = std::minmax_element(t.begin(), t.end());
  return std::any_of(t.begin(), t.end(),
                     [low = *low, high = *high](double x) { return x > low && x < high; });
}

}  // namespace

Result<RobustLine> theil_sen(std::span<const double> t, std::span<const double> y) {
  if (t.size() != y.size() || !has_three_times(t)) {
    return fail(Errc::too_few, "a robust line needs values at three different times");
  }
  std::vector<double> slopes;
  slopes.reserve(t.size() * (t.size() - 1) / 2);
  for (std::size_t i = 0; i < t.size(); ++i) {
    for (std::size_t j = i + 1; j < t.size(); ++j) {
      if (t[j] != t[i]) slopes.push_back((y[j] - y[i]) / (t[j] - t[i]));
    }
  }
  const double slope = median(slopes);
  // Ranks of the interval: Sen 1968, with Kendall's variance corrected for ties in y.
  std::vector<double> sorted(y.begin(), y.end());
  std::sort(sorted.begin(), sorted.end());
  const double n = static_cast<double>(t.size());
  double variance = n * (n - 1) * (2 * n + 5);
  for (std::size_t i = 0; i < sorted.size();) {
    const auto run = static_cast<double>(std::upper_bound(sorted.begin(), sorted.end(), sorted[i]) -
                                         (sorted.begin() + static_cast<std::ptrdiff_t>(i)));
    variance -= run * (run - 1) * (2 * run + 5);
    i += static_cast<std::size_t>(run);
  }
  const double half = normal_quantile(0.975) * std::sqrt(variance / 18.0);
  const double pairs = static_cast<double>(slopes.size());
  std::sort(slopes.begin(), slopes.end());
  const auto rank = [&](double r) {
    return slopes[static_cast<std::size_t>(std::clamp(std::round(r), 0.0, pairs - 1))];
  };
  return RobustLine{slope, rank((pairs - half) / 2 - 1), rank((pairs + half) / 2),
                    median(y) - slope * median(t)};
}

Result<WeightedLine> huber_line(std::span<const double> t, std::span<const double> y) {
  if (t.size() != y.size() || !has_three_times(t)) {
    return fail(Errc::too_few, "a robust line needs values at three different times");
  }
  const std::size_t n = t.size();
  std::vector<double> weights(n, 1.0);
  std::vector<double> residuals(n);
  std::vector<double> sizes(n);
  WeightedLine line{};
  double spread = 0;
  for (int round = 0; round < 50; ++round) {
    double sum = 0, sum_t = 0, sum_y = 0;
    for (std::size_t i = 0; i < n; ++i) {
      sum += weights[i];
      sum_t += weights[i] * t[i];
      sum_y += weights[i] * y[i];
    }
    line.centre_t = sum_t / sum;
    const double mean_y = sum_y / sum;
    double stt = 0, sty = 0;
    for (std::size_t i = 0; i < n; ++i) {
      stt += weights[i] * (t[i] - line.centre_t) * (t[i] - line.centre_t);
      sty += weights[i] * (t[i] - line.centre_t) * (y[i] - mean_y);
    }
    const double slope = sty / stt;
    const bool settled = round > 0 && std::abs(slope - line.slope) <= 1e-10 * (std::abs(slope) + 1e-12);
    line.slope = slope;
    line.centre = mean_y;
    for (std::size_t i = 0; i < n; ++i) {
      residuals[i] = y[i] - mean_y - slope * (t[i] - line.centre_t);
      sizes[i] = std::abs(residuals[i]);
    }
    line.scale = kMadToSigma * median_in_place(sizes);
    spread = stt;
    if (settled || line.scale <= 1e-12) break;
    for (std::size_t i = 0; i < n; ++i) weights[i] = huber_weight(residuals[i] / line.scale);
  }
  double square = 0, lagged = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double r = weights[i] * residuals[i];
    square += r * r;
    if (i > 0) lagged += r * weights[i - 1] * residuals[i - 1];
  }
  line.degrees_freedom = static_cast<double>(n) - 2;
  const double variance = line.degrees_freedom > 0 ? square / line.degrees_freedom : 0;
  line.slope_se = std::sqrt(std::max(variance, line.scale * line.scale) / spread);
  line.autocorrelation = square > 0 ? std::clamp(lagged / square, -0.99, 0.99) : 0.0;
  return line;
}

}  // namespace gyle
