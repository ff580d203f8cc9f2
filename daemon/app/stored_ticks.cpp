#include "app/stored_ticks.h"

#include <spdlog/spdlog.h>

namespace gyle {
namespace {

// More ticks would add nothing.
constexpr Duration kSpacing = minutes(5);

// A clock that is set back by less costs less than to evaluate everything again.
constexpr Duration kSetBack = minutes(10);
// At the start, the next stored tick is this far ahead of now only if the clock had leapt.
constexpr Duration kLeap = hours(1);

}  // namespace

Result<Duration> StoredTicks::ahead_of(Time now) {
  if (last_) return *last_ - now > kSetBack ? *last_ - now : Duration(0);
  if (compared_) return Duration(0);
  BOOST_OUTCOME_TRY(next, log_.next_tick_ahead(now));
  return next.value_or(Duration(0)) > kLeap ? *next : Duration(0);
}

Result<bool> StoredTicks::corrected_set_back(Time now) {
  BOOST_OUTCOME_TRY(ahead, ahead_of(now));
  if (ahead > Duration(0)) {
    BOOST_OUTCOME_TRY(gone, log_.clock_set_back(now));
    last_.reset();
    spdlog::warn(
        "the clock was ahead by {:.1f} h and has been set back. The time that it had shown is forgotten, {} "
        "readings that came meanwhile are dated now, and the batches are evaluated again",
        in_hours(ahead), gone.readings);
  }
  compared_ = true;
  return ahead > Duration(0);
}

bool StoredTicks::is_due(Time now) const { return !last_ || now - *last_ >= kSpacing; }

Status StoredTicks::store(std::int64_t newest_reading, Time now) {
  BOOST_OUTCOME_TRYV(log_.ticked({newest_reading, now}));
  last_ = now;
  return success();
}

}  // namespace gyle
