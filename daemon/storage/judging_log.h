#pragma once

#include <cstdint>

#include "base/result.h"
#include "fermentation/continuity.h"
#include "storage/database.h"

namespace gyle {

// Which batches are to be re-evaluated, and how the re-evaluated ones continue from the alerts already
// reported. Errc::storage: nothing has happened, call again.
class JudgingLog {
 public:
  explicit JudgingLog(Database& database) : database_(&database) {}

  // The data of the judgement has changed or is about to: the batch is re-evaluated before the next event or
  // at the next start.
  Status call_for(std::int64_t batch);
  Result<bool> due(std::int64_t batch);

  // The batch was re-evaluated and the resulting alerts are in the outbox.
  Status settle(std::int64_t batch, const Continuity& continuity);
  Result<Continuity> continuity(std::int64_t batch);  // never re-evaluated: the one that changes nothing

 private:
  Database* database_;
};

}  // namespace gyle
