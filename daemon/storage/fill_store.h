#pragma once

#include <cstdint>
#include <vector>

#include "base/result.h"
#include "packaging/fill.h"
#include "storage/database.h"

namespace gyle {

struct StoredFill {
  std::int64_t id;
  Fill fill;
};

// What each packaged batch was filled into. Errc::storage: nothing has happened, call again.
class FillStore {
 public:
  explicit FillStore(Database& database) : database_(&database) {}

  // Returns its id. Errc::conflict when the batch has this fill already: a call that is repeated because its
  // answer was lost counts once. Errc::not_found when there is no such batch.
  Result<std::int64_t> add(std::int64_t batch, const Fill& fill);

  // It counts no more; its row is kept. Errc::not_found when the batch has no such fill that counts.
  Status take_back(std::int64_t batch, std::int64_t fill);

  // The batches that were filled last, newest first.
  Result<std::vector<std::int64_t>> batches_filled_last(int at_most);

  Result<std::vector<StoredFill>> of(std::int64_t batch);  // that count, in order of time, then of entry

 private:
  Database* database_;
};

}  // namespace gyle
