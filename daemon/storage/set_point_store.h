#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "base/result.h"
#include "fermentation/set_point.h"
#include "storage/database.h"

namespace gyle {

// What outside thermostats were asked for, and what the brewer agreed to: neither can be made again from the
// journal. Errc::storage: nothing has happened, call again.
class SetPointStore {
 public:
  explicit SetPointStore(Database& database) : database_(&database) {}

  // `changed` is of every batch that was ever in the vessel; `sent` stays absent.
  Result<SetPointPast> past(std::int64_t batch, const std::string& vessel);
  // When what was asked last for the batch was asked for.
  Result<std::optional<Time>> asked_since(std::int64_t batch);

  // The last one counts. Errc::not_found: there is no such batch.
  Status confirm(std::int64_t batch, const Ask& ask, Time time);
  Status asked(std::int64_t batch, const Ask& ask, Time time);

 private:
  Database* database_;
};

}  // namespace gyle
