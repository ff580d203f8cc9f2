#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"
#include "fermentation/set_point.h"
#include "storage/database.h"

namespace gyle {

// What external thermostats were asked for, and what the brewer confirmed: neither can be derived from the
// journal. Errc::storage: nothing has happened, call again.
class SetPointStore {
 public:
  explicit SetPointStore(Database& database) : database_(&database) {}

  // `changed` is of every batch that was ever in the vessel; `sent` stays absent.
  Result<SetPointPast> past(std::int64_t batch, const std::string& vessel);
  // Since when the batch's present temperature has been asked for.
  Result<std::optional<Time>> asked_since(std::int64_t batch);

  // The last one counts. Errc::not_found: there is no such batch.
  Status confirm(std::int64_t batch, const Ask& ask, Time time);
  Status asked(std::int64_t batch, const Ask& ask, Time time);

 private:
  Database* database_;
};

}  // namespace gyle
