#pragma once

#include <string>
#include <vector>

#include "base/result.h"
#include "storage/database.h"

namespace gyle {

// Every filter that a broker was ever asked for: it keeps a subscription as long as the session, whatever the
// configuration says by then.
class SubscriptionLog {
 public:
  explicit SubscriptionLog(Database& database) : database_(&database) {}

  // Adds `filters`, to be called before a broker is asked for them; returns all there are, of earlier
  // configurations too. Errc::storage: nothing has happened, call again.
  Result<std::vector<std::string>> remember(const std::vector<std::string>& filters);

 private:
  Database* database_;
};

}  // namespace gyle
