#include "mqtt/backoff.h"

#include <algorithm>

namespace gyle {
namespace {

constexpr Duration kFirst = seconds(1);
constexpr Duration kLongestAbsent = seconds(10);
constexpr Duration kLongestDrivenOut = seconds(60);
constexpr Duration kHeld = minutes(1);

Duration pause(int before, Duration longest, double random) {
  const Duration full = std::min(kFirst * (1 << std::min(before, 6)), longest);
  return full - from_hours(in_hours(full) / 2 * random);
}

}  // namespace

Duration Backoff::after_failure(double random) { return pause(failures_++, kLongestAbsent, random); }

Duration Backoff::after_loss(Duration lived, double random) {
  failures_ = 0;
  if (lived >= kHeld) short_lives_ = 0;
  return pause(lived >= kHeld ? 0 : short_lives_++, kLongestDrivenOut, random);
}

}  // namespace gyle
