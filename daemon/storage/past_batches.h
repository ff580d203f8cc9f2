#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"
#include "storage/batch_store.h"
#include "storage/database.h"

namespace gyle {

// The journal's sensor name for readings imported from a file.
std::string import_sensor(std::string_view key);
bool is_import_sensor(std::string_view sensor);

// Batches that were over before the daemon knew of them. Errc::storage: nothing has happened, call again.
class PastBatches {
 public:
  explicit PastBatches(Database& database) : database_(&database) {}

  // A batch that is packaged already and uses all readings that the journal now holds of import_sensor(key),
  // and none later. Returns its id. Errc::conflict when these readings are a batch's already, or there is
  // a batch of this name and pitch; Errc::not_found when there is no such reading; Errc::out_of_range when it
  // was packaged before its pitch.
  Result<std::int64_t> add(const NewBatch& batch, Time packaged, std::string_view key);

 private:
  Database* database_;
};

}  // namespace gyle
