#pragma once

#include <cstdint>

#include "base/result.h"
#include "fermentation/continuity.h"
#include "storage/database.h"

namespace gyle {

// Which batches are to be judged anew, and how those that were go on from what was told. Errc::storage:
// nothing has happened, call again.
class JudgingLog {
 public:
  explicit JudgingLog(Database& database) : database_(&database) {}

  // What the judgement is made from is about to change, or has: before the next event, or at the next start,
  // the batch is judged anew.
  Status call_for(std::int64_t batch);
  Result<bool> due(std::int64_t batch);

  // It was judged anew and what had to be told is in the outbox.
  Status settle(std::int64_t batch, const Continuity& continuity);
  Result<Continuity> continuity(std::int64_t batch);  // of one that never was: the one that changes nothing

 private:
  Database* database_;
};

}  // namespace gyle
