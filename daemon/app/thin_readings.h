#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "storage/database.h"
#include "storage/journal_thinning.h"

namespace gyle {

struct ThinningRule {
  Time packaged_before;  // of batches that left their vessel before that
  Duration every{};      // one reading of each quantity stays in so long a time
};

struct ThinnedBatch {
  std::int64_t id = 0;
  std::string name;
  ReadingsThinned readings;
};

// Thins the readings of old batches (storage/journal_thinning.h). First what was made of all of them is stored: how
// each ended, and its course as a picture shows it, so that both stay as they are. A batch for which that would
// take more room than it frees is left alone. Nobody else may use the database.
//   batch     only that one, by id or name. Errc::conflict: it is in its vessel, or was packaged later
//   for_real  false: only counted
//   out       the batches that were, or would be, thinned
// Each batch is a transaction: after an error or a power cut, call again.
Result<std::vector<ThinnedBatch>> thin_readings(Database& database, const ThinningRule& rule,
                                                const std::optional<std::string>& batch, bool for_real);

}  // namespace gyle
