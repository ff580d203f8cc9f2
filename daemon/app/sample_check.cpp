#include "app/sample_check.h"

#include <fmt/format.h>

#include "wording/format.h"

namespace gyle {
namespace {

constexpr GravityPoints kMostAbove{3};

}  // namespace

Status check_sample(const BatchSpec& batch, SpecificGravity gravity, Time taken, Time now,
                    const DisplaySettings& display) {
  if (taken > now) {
    return fail(Errc::out_of_range, fmt::format("a sample of {} lies in the future; it is {} now",
                                                show_time(taken, display), show_time(now, display)));
  }
  if (taken < batch.pitched) {
    return fail(Errc::out_of_range,
                fmt::format("a sample of {} was taken before the pitch, which was at {}",
                            show_time(taken, display), show_time(batch.pitched, display)));
  }
  if (batch.original_gravity && gravity - *batch.original_gravity > kMostAbove) {
    return fail(Errc::out_of_range,
                fmt::format("a sample of {} is above the original gravity, {}; look at the reading, its "
                            "temperature and the batch again",
                            show_gravity(gravity.value(), display),
                            show_gravity(batch.original_gravity->value(), display)));
  }
  return success();
}

}  // namespace gyle
