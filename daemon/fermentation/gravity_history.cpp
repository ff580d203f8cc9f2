#include "fermentation/gravity_history.h"

#include <algorithm>
#include <cmath>

namespace gyle {
namespace {

constexpr double kMostSpanH = 6;

void absorb(HourMean& into, const HourMean& from) {
  const double sum = into.readings + from.readings;
  const double part = sum > 0 ? from.readings / sum : 0.5;
  into.time_h += part * (from.time_h - into.time_h);
  into.thermal_h += part * (from.thermal_h - into.thermal_h);
  into.points += part * (from.points - into.points);
  into.warmth += part * (from.warmth - into.warmth);
  into.scatter_var += part * (from.scatter_var - into.scatter_var);
  into.driven += part * (from.driven - into.driven);
  into.suspect = into.suspect || from.suspect;
  into.readings = sum;
}

}  // namespace

void GravityHistory::add(const HourMean& reading) {
  const double hour = std::floor(reading.time_h);
  if (!hours_.empty() && hour == hour_began_) {
    absorb(hours_.back(), reading);
    return;
  }
  if (hours_.size() >= kMost) merge_oldest();
  // After a gap an hour represents itself and the time that slow noise lasts.
  const double gap_h = hours_.empty() ? 1.0 : reading.time_h - hours_.back().time_h;
  hours_.push_back(reading);
  hours_.back().span_h = std::clamp(gap_h, 1.0, kMostSpanH);
  hour_began_ = hour;
}

void GravityHistory::suspect(double from_h, double to_h) {
  for (HourMean& hour : hours_) {
    if (hour.time_h >= from_h && hour.time_h <= to_h) hour.suspect = true;
  }
}

void GravityHistory::change(double until_h, double keep, double by) {
  for (HourMean& hour : hours_) {
    if (hour.time_h >= until_h) break;
    hour.points = keep * hour.points + by;
    hour.driven *= keep;
  }
}

void GravityHistory::trust(double from_h) {
  for (HourMean& hour : hours_) {
    if (hour.time_h >= from_h) hour.suspect = false;
  }
}

void GravityHistory::merge_oldest() {
  const std::size_t half = hours_.size() / 2;
  std::size_t kept = 0;
  for (std::size_t i = 0; i + 1 < half; i += 2) {
    HourMean merged = hours_[i];
    if (merged.suspect == hours_[i + 1].suspect) {
      absorb(merged, hours_[i + 1]);
      merged.span_h += hours_[i + 1].span_h;
    } else if (merged.suspect) {
      merged = hours_[i + 1];
    }
    hours_[kept++] = merged;
  }
  hours_.erase(hours_.begin() + static_cast<std::ptrdiff_t>(kept),
               hours_.begin() + static_cast<std::ptrdiff_t>(half - half % 2));
}

std::vector<HourMean> condensed(std::span<const HourMean> hours, double now_h) {
  std::vector<HourMean> points;
  points.reserve(160);
  double bin = -1;
  for (const HourMean& hour : hours) {
    if (hour.suspect) continue;
    const double age_h = now_h - hour.time_h;
    const double span = age_h < 12 ? 1.0 : age_h < 240 ? 3.0 : 12.0;
    const double at = std::floor(hour.time_h / span) + 1e6 * span;
    if (at == bin && !points.empty()) {
      absorb(points.back(), hour);
      points.back().span_h += hour.span_h;
    } else {
      points.push_back(hour);
      bin = at;
    }
  }
  return points;
}

}  // namespace gyle
