#include "ingest/flood_gate.h"

#include <algorithm>

#include "ingest/plausibility.h"

namespace gyle {
namespace {

constexpr std::size_t kSensors = 10'000;
constexpr Duration kLongestSilence = kOldestStamp;  // older readings are not believed
constexpr Duration kBetweenReports = minutes(1);
constexpr Duration kQuietAgain = hours(1);

}  // namespace

void FloodGate::heard(const std::string& sensor, Time last) {
  if (sensors_.size() >= kSensors) return;
  Allowance& allowance = sensors_[sensor];
  allowance.last = last;
  allowance.readings = static_cast<double>(per_hour_);
}

FloodGate::Allowance& FloodGate::of(const std::string& sensor, Time now, bool backlog) {
  const auto found = sensors_.find(sensor);
  if (found != sensors_.end()) return found->second;
  if (sensors_.size() >= kSensors) sensors_.clear();
  Allowance& allowance = sensors_[sensor];
  allowance.last = now;
  allowance.readings = static_cast<double>(per_hour_) * (backlog ? in_hours(kLongestSilence) : 1);
  return allowance;
}

bool FloodGate::admit(const std::string& sensor, Time now, bool backlog) {
  Allowance& allowance = of(sensor, now, backlog);
  const auto hour = static_cast<double>(per_hour_);
  const Duration silence = std::clamp<Duration>(now - allowance.last, Duration(0), kLongestSilence);
  const double earned = in_hours(silence) * hour;
  allowance.last = now;  // also back: the clock may have been set
  if (allowance.readings < hour) allowance.readings = std::min(allowance.readings + earned, hour);
  allowance.readings = std::max(allowance.readings, earned);
  if (allowance.readings < 1) return false;
  allowance.readings -= 1;
  return true;
}

std::int64_t FloodGate::to_report(const std::string& sensor, Time now) {
  Allowance& allowance = of(sensor, now, false);
  ++allowance.unreported;
  const Duration since = now - allowance.reported;
  if (since >= Duration(0) && since < kBetweenReports) return 0;
  allowance.begins = since < Duration(0) || since >= kQuietAgain;
  allowance.reported = now;
  const std::int64_t count = allowance.unreported;
  allowance.unreported = 0;
  return count;
}

bool FloodGate::begins(const std::string& sensor) const {
  const auto found = sensors_.find(sensor);
  return found != sensors_.end() && found->second.begins;
}

}  // namespace gyle
