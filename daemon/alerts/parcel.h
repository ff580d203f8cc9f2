#pragma once

#include <span>

#include "alerts/channel.h"
#include "alerts/plan.h"
#include "wording/display.h"

namespace gyle {

// The message that carries these deliveries, at least one. It is the same whenever it is made of the same.
Notice notice_of(std::int64_t parcel, std::span<const Waiting> inside, Together together,
                 const DisplaySettings& display, Time now);

}  // namespace gyle
