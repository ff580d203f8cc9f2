#pragma once

#include "base/result.h"
#include "fermentation/decision.h"
#include "storage/outbox.h"

namespace gyle {

// The decision of an alert about a batch, as it was stored. Errc::storage: the database holds a kind that is
// unknown here.
Result<Decision> stored_decision(const StoredAlert& alert);

}  // namespace gyle
