#pragma once

#include "fermentation/tracker.h"
#include "series/reading.h"

namespace gyle {

// Delivers one recorded reading as the daemon would have: what it refuses at the door (ingest/plausibility.h)
// never reaches the tracker and has no outcome. Nothing ticks: event time is that of the readings, so that
// the outcomes up to a row are the same whatever rows follow.
Outcome replay(Tracker& tracker, const Reading& reading);

}  // namespace gyle
