#pragma once

#include <span>

#include "alerts/channel.h"
#include "storage/outbox.h"
#include "wording/display.h"

namespace gyle {

// The message that carries these deliveries, those of one parcel. It is the same whenever it is made of them.
Notice notice_of(const Parcel& parcel, std::span<const Waiting> inside, const DisplaySettings& display);

}  // namespace gyle
