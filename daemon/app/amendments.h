#pragma once

#include "app/watch.h"
#include "fermentation/amendment.h"
#include "storage/amendment_log.h"

namespace gyle {

// One correction as it was stored. Errc::malformed or out_of_range: one of its texts cannot be read.
Result<Amendment> amendment_of(const StoredAmendment& stored);

// Corrects what was entered about the batches and has them re-evaluated. Errors as of Cellar;
// Errc::unavailable: the correction is stored, but the batch not re-evaluated yet; that is tried again.
class Amendments {
 public:
  Amendments(Database& database, Watch& watch) : log_(database), watch_(watch) {}

  Result<std::vector<Amendment>> of(const StoredBatch& batch);
  Result<Amendment> amend(const StoredBatch& batch, AmendedThing thing, std::int64_t number,
                          const Entry& after, Time now);
  Result<Amendment> undo(const StoredBatch& batch, std::optional<std::int64_t> amendment, Time now);

 private:
  Status check(const StoredBatch& batch, AmendedThing thing, const Entry& after, Time now) const;
  Result<Amendment> done(const StoredAmendment& stored, std::int64_t batch);

  AmendmentLog log_;
  Watch& watch_;
};

}  // namespace gyle
