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

std::vector<PathPoint> forecast_path(const Interval& now, Time at, Stage stage, const Forecast& forecast) {
  const auto& end = forecast.final_gravity;
  const auto& when = forecast.final_time;
  if (!end || !when || !(when->value > at)) return {};
  const double bend = stage == Stage::lag ? 2 : 1;
  const auto ahead = [at](Time time) {  // what nobody knows may be at the end of time
    return in_seconds(std::clamp<Time>(time, at - hours(24 * 365), at + hours(24 * 365)) - at);
  };
  const double likely = ahead(when->value);
  const double latest = std::max(ahead(when->high), likely);
  const double until = std::min(latest + kDayS / 2, 30 * kDayS);
  // No fall in an instant, even when the earliest end is past.
  const auto share = [&](double time, double end_at) { return time / std::max(end_at, likely / 4); };
  std::vector<PathPoint> path;
  for (int i = 0; i < kPathPoints; ++i) {
    const double time = until * i / (kPathPoints - 1);
    const double value = on_way(now.value, end->value, share(time, likely), bend);
    const double low = on_way(now.low, end->low, share(time, ahead(when->low)), bend);
    const double high = on_way(now.high, end->high, share(time, latest), bend);
    path.push_back({at + from_hours(time / 3600), {value, std::min(low, value), std::max(high, value)}});
  }
  return path;
}

}  // namespace gyle
