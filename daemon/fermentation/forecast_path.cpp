#include "fermentation/forecast_path.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kNear = 0.0005;  // SG, as in Forecast
constexpr double kDayS = 86400;

// From `from` at 0 to `to`; `share` 1 is the final time.
double on_way(double from, double to, double share, double bend) {
  const double left = from - to;
  if (!(left > kNear)) return from + (to - from) * std::min(1.0, share);
  return to + left * std::exp(-std::log(left / kNear) * std::pow(share, bend));
}

}  // namespace

std::vector<PathPoint> forecast_path(const Interval& now, double now_s, Stage stage,
                                     const Forecast& forecast) {
  const auto& end = forecast.final_gravity;
  const auto& when = forecast.final_time;
  if (!end || !when || !std::isfinite(when->value) || !(when->value > now_s)) return {};
  const double bend = stage == Stage::lag ? 2 : 1;
  const double latest = std::isfinite(when->high) ? when->high : when->value;
  const double until = std::min(std::max(latest, when->value) + kDayS / 2, now_s + 30 * kDayS);
  const auto share = [&](double time, double at) {
    // No fall in an instant, even when the earliest end is past.
    return (time - now_s) / std::max(at - now_s, (when->value - now_s) / 4);
  };
  std::vector<PathPoint> path;
  for (int i = 0; i < kPathPoints; ++i) {
    const double time = now_s + (until - now_s) * i / (kPathPoints - 1);
    const double value = on_way(now.value, end->value, share(time, when->value), bend);
    const double low = on_way(now.low, end->low, share(time, when->low), bend);
    const double high = on_way(now.high, end->high, share(time, latest), bend);
    path.push_back({time, {value, std::min(low, value), std::max(high, value)}});
  }
  return path;
}

}  // namespace gyle
