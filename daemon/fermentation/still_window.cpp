#include "fermentation/still_window.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "series/robust_line.h"
#include "series/robust_statistics.h"

namespace gyle {
namespace {
constexpr double kRecentH = 6;
constexpr double kLeastCorrelation = 0.1;
constexpr double kMostCorrelation = 0.9;
constexpr double kSteadyH = 36;
constexpr double kRareH = 3;            // readings so far apart are rare
constexpr std::size_t kHalfWindow = 3;  // hours
constexpr double kWild = 4;             // sigmas: an hour that does not fit its neighbours
}  // namespace

std::optional<StillWindow> still_window(const GravityHistory& history, const SensorNoise& noise, double now_h,
                                        double length_h, double warmth_slope, double warmth_slope_sd) {
  std::vector<double> t, y, warmth;
  double variance = 0;
  const auto& hours = history.hours();
  for (std::size_t i = hours.size(); i-- > 0;) {
    const HourMean& hour = hours[i];
    if (hour.time_h < now_h - length_h - 0.5) break;
    if (hour.suspect) continue;
    t.push_back(hour.time_h);
    y.push_back(hour.points - warmth_slope * hour.warmth);
    warmth.push_back(hour.warmth);
    variance += noise.of_hour(hour);
  }
  if (t.size() < 4) return std::nullopt;
  const double apart_h = (t.front() - t.back()) / static_cast<double>(t.size() - 1);
  const bool rare = apart_h > kRareH;
  if ((!rare && t.size() < 6) || t.back() > now_h - 0.9 * length_h + (rare ? apart_h : 0.0) ||
      t.front() < now_h - std::max(length_h / 6, rare ? 1.6 * apart_h : 0.0))
    return std::nullopt;
  const auto verdicts = hampel(y, kHalfWindow, kWild);
  for (std::size_t i = 0; i < y.size(); ++i) {
    const double mean_sd = std::sqrt(variance / static_cast<double>(y.size()));
    if (verdicts[i].outlier && std::abs(y[i] - verdicts[i].median) > kWild * mean_sd)
      y[i] = verdicts[i].median;
  }
  const auto line = huber_line(t, y);
  if (!line) return std::nullopt;
  // The median of all slopes costs the square of the hours: for short windows only.
  const auto steady = length_h <= kSteadyH ? theil_sen(t, y) : fail(Errc::too_few, "");
  // Neighbouring hours are not independent: a series with autocorrelation r counts for (1-r)/(1+r) as many.
  const double r = std::clamp(line.value().autocorrelation, kLeastCorrelation, kMostCorrelation);
  const double inflation = (1 + r) / (1 - r);
  // The error is no smaller than the known noise of the hydrometer makes it.
  const double count = static_cast<double>(t.size());
  const double mean_t = line.value().centre_t;
  double spread = 0;
  for (const double at : t) spread += (at - mean_t) * (at - mean_t);
  const double known_se = std::sqrt(variance / count / spread);
  const double slope_se = std::max(known_se, line.value().slope_se * std::sqrt(inflation));
  const auto warming = huber_line(t, warmth);
  const double bias_se = warming ? warming.value().slope * warmth_slope_sd : 0.0;
  StillWindow window{};
  window.from_h = t.back();
  window.to_h = t.front();
  window.hours = static_cast<int>(t.size());
  window.fall = -line.value().slope * length_h;
  window.steady_fall = steady ? -steady.value().slope * length_h : window.fall;
  window.fall_se = length_h * std::hypot(slope_se, bias_se);
  window.degrees_freedom = std::max(2.0, line.value().degrees_freedom / inflation);
  window.level = line.value().centre;
  // A line that ignores outliers also ignores a fall that has just begun.
  double recent = 0;
  int of_recent = 0;
  for (std::size_t i = 0; i < t.size() && t[i] > now_h - kRecentH; ++i) {
    const double expected = line.value().centre + line.value().slope * (t[i] - mean_t);
    recent += (expected - y[i] - recent) / ++of_recent;
  }
  window.recent = recent;
  window.recent_se = std::sqrt(variance / count / std::max(1, of_recent));
  return window;
}

}  // namespace gyle
