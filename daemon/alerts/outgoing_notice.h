#pragma once

#include <span>

#include "notices/notice.h"
#include "storage/outbox.h"
#include "wording/display.h"

namespace gyle {

// The message for the deliveries of one parcel. Pure: the same parcel gives the same message.
Notice outgoing_notice(const Parcel& parcel, std::span<const Waiting> inside, const DisplaySettings& display);

}  // namespace gyle
