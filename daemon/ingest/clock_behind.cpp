#include "ingest/clock_behind.h"

#include "ingest/plausibility.h"

namespace gyle {
namespace {

// 2026-01-01: this program is younger. A sensor's clock at an earlier time, or decades later, was never set.
constexpr Time kWritten{seconds(1'767'225'600)};
constexpr Duration kInUse = days(20 * 365);
constexpr Duration kSet = minutes(1);  // a clock that moves by more against the machine's own has been set

}  // namespace

bool ClockBehind::certainly_behind(Time wall) const {
  return wall < kWritten || (newest_received_ && wall < *newest_received_ - kClockSkew);
}

bool ClockBehind::waits(Time stamp, const Look& now) {
  const bool ahead = stamp > now.wall + kClockSkew && stamp >= kWritten && stamp < kWritten + kInUse;
  const Duration set_by = now.wall.time_since_epoch() - now.since_boot;
  if (believed_ && std::chrono::abs(set_by - *believed_) > kSet) believed_.reset();
  if (!ahead || now.synchronised || believed_) {
    waiting_since_.reset();
    doubted_ = doubted_ && believed_ && !now.synchronised && certainly_behind(now.wall);
    return false;
  }
  if (!waiting_since_) waiting_since_ = now.since_boot;
  const bool waits = certainly_behind(now.wall) ? now.since_boot - *waiting_since_ < kLongestWait
                                                : now.since_boot < kAfterBoot;
  doubted_ = waits || certainly_behind(now.wall);
  if (!waits) {
    waiting_since_.reset();
    believed_ = set_by;
  }
  return waits;
}

}  // namespace gyle
