#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"
#include "base/time.h"
#include "storage/batch_store.h"
#include "storage/database.h"

namespace gyle {

// Readings that a batch uses.
struct ReadingsThinned {
  std::int64_t before = 0;
  std::int64_t after = 0;
};

// Takes most of the raw readings of a packaged batch out of the journal: the first of each quantity of each sensor
// in every `every` stays. So do hand samples and what was amended, the newest reading of each sensor, and what another
// batch uses, unless that was thinned as well. A reading that was taken out and is sent again counts as new.
//   errors  Errc::not_found; Errc::conflict: the batch is in its vessel; Errc::storage: nothing has happened
//   tests   tests/unit/app/thin_readings_test.cpp
class JournalThinning {
 public:
  explicit JournalThinning(Database& database) : database_(&database) {}

  // What thin() would do; changes nothing.
  Result<ReadingsThinned> count(std::int64_t batch, Duration every);
  // In one transaction with what was made of all the readings: `course` is kept, and `ending` where it is given.
  // A course that was kept before stays.
  Result<ReadingsThinned> thin(std::int64_t batch, Duration every, const std::string& course,
                               const std::optional<StoredEnding>& ending);

  // Gives the room in the file that is free back to the file system. Needs as much again while it works.
  Status compact();

 private:
  Database* database_;
};

}  // namespace gyle
