#include "mqtt/backoff.h"

#include <algorithm>

namespace gyle {
namespace {

constexpr Duration kFirst = seconds(1);
constexpr Duration kLongest = seconds(60);
constexpr Duration kSettled = minutes(1);

}  // namespace

Duration Backoff::after_failure(double random) {
  const Duration full = std::min(kFirst * (1 << std::min(failures_, 6)), kLongest);
  ++failures_;
  return full - from_hours(in_hours(full) / 2 * random);
}

Duration Backoff::after_loss(Duration lived, double random) {
  if (lived >= kSettled) failures_ = 0;
  return after_failure(random);
}

}  // namespace gyle
