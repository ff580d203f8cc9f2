#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.h"
#include "storage/batch_store.h"
#include "storage/database.h"

namespace gyle {

// Under which the journal keeps readings that were taken from a file and not heard.
std::string import_sensor(std::string_view key);
bool is_import_sensor(std::string_view sensor);

// Batches that were over before the daemon knew of them. Errc::storage: nothing has happened, call again.
class PastBatches {
 public:
  explicit PastBatches(Database& database) : database_(&database) {}

  // A batch that is packaged already and uses what the journal holds of import_sensor(key), all of it now
  // and nothing later. Returns its id. Errc::conflict when these readings are a batch's already, or there is
  // a batch of this name and pitch; Errc::not_found when there is no such reading; Errc::out_of_range when it
  // was packaged before its pitch.
  Result<std::int64_t> add(const NewBatch& batch, Time packaged, std::string_view key);

 private:
  Database* database_;
};

}  // namespace gyle
