#include "fermentation/what_if.h"

#include <algorithm>

#include "fermentation/judgement.h"

namespace gyle {

Outlook Tracker::Judgement::outlook(const WhatIf& question) const {
  Outlook outlook{};
  if (const auto known = watch_.gravity_known();
      known && hours_since_pitch(clock_.now()) > known->current_until_h) {
    outlook.forecast.time = clock_.now();
    return outlook;  // what is old forecasts nothing
  }
  std::vector<WeightedValue> ends;
  outlook.forecast = make_forecast(clock_.now(), question.hold, &ends);
  const auto seconds_at = [&](double hour) {
    return in_seconds(spec_.pitched.time_since_epoch()) + 3600 * hour;
  };
  if (final_since_) {
    ends = {{hours_since_pitch(*final_since_), 1.0}};
  } else {
    const double now_h = hours_since_pitch(clock_.now());
    for (WeightedValue& end : ends) {
      end.value = std::max(end.value + in_hours(spec_.final_gravity.window), now_h);
    }
  }
  if (ends.empty()) return outlook;
  if (final_since_ || outlook.forecast.final_time) {
    const Interval ready = interval_of(ends);
    outlook.ready_time = Interval{seconds_at(ready.value), seconds_at(ready.low), seconds_at(ready.high)};
  }
  if (question.ready_by) {
    double in_time = 0, sum = 0;
    for (const WeightedValue& end : ends) {
      sum += end.weight;
      if (end.value <= hours_since_pitch(*question.ready_by)) in_time += end.weight;
    }
    outlook.chance_ready = in_time / sum;
  }
  return outlook;
}

}  // namespace gyle
