#include "replay/replay.h"

#include "ingest/plausibility.h"

namespace gyle {

Outcome replay(Tracker& tracker, const Reading& reading) {
  if (implausible(reading.quantity, reading.value)) return {};
  return tracker.advance(reading);
}

}  // namespace gyle
