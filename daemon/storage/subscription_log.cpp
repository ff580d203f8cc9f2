#include "storage/subscription_log.h"

#include "storage/connection.h"

namespace gyle {

Result<std::vector<std::string>> SubscriptionLog::remember(const std::vector<std::string>& filters) {
  SQLite::Database& db = database_->connection().db;
  return storage::guarded("store the subscriptions", [&]() -> Result<std::vector<std::string>> {
    storage::WriteTransaction transaction(db);
    SQLite::Statement insert(db, "INSERT OR IGNORE INTO subscription(filter) VALUES (?)");
    for (const std::string& filter : filters) {
      insert.bind(1, filter);
      insert.exec();
      insert.reset();
    }
    std::vector<std::string> all;
    SQLite::Statement select(db, "SELECT filter FROM subscription");
    while (select.executeStep()) all.push_back(select.getColumn(0).getString());
    transaction.commit();
    return all;
  });
}

}  // namespace gyle
