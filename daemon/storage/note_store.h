#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "base/result.h"
#include "base/time.h"
#include "storage/database.h"

namespace gyle {

struct StoredNote {
  std::int64_t id;
  Time time;  // of what it is about
  std::string text;
  bool tasting = false;
};

// What the brewer wrote about each batch. Errc::storage: nothing has happened, call again.
class NoteStore {
 public:
  explicit NoteStore(Database& database) : database_(&database) {}

  // Returns its id. Errc::conflict when the batch has this note already: a call that is repeated because its
  // answer was lost writes nothing twice. Errc::not_found when there is no such batch.
  Result<std::int64_t> add(std::int64_t batch, Time time, const std::string& text, bool tasting = false);

  Result<std::vector<StoredNote>> of(std::int64_t batch);  // in order of time, then of writing

 private:
  Database* database_;
};

}  // namespace gyle
