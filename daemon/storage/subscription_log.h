#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "storage/database.h"

namespace gyle {

// Every filter ever subscribed to: a broker keeps a subscription as long as the session, even when the filter
// is no longer configured.
class SubscriptionLog {
 public:
  explicit SubscriptionLog(Database& database) : database_(&database) {}

  // Adds `filters`, before they are subscribed to; returns all filters, those of earlier configurations too.
  // Errc::storage: nothing has happened, call again.
  Result<std::vector<std::string>> remember(const std::vector<std::string>& filters);

 private:
  Database* database_;
};

}  // namespace gyle
