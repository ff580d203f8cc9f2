#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include <stop_token>
#include <string_view>
#include <utility>

#include "base/result.h"
#include "base/time.h"
#include "storage/database.h"

namespace gyle {

// Behind Database; included by the .cpp files of this folder only.
struct Database::Connection {
  SQLite::Database db;
  std::stop_token stop;
};

namespace storage {

// Runs `work`, which returns a Result, and turns what SQLite throws into Errc::storage: "cannot <doing>:
// ...".
template <class Work>
auto guarded(std::string_view doing, Work&& work) -> decltype(work()) {
  try {
    return std::forward<Work>(work)();
  } catch (const std::exception& e) {
    return fail(Errc::storage, fmt::format("cannot {}: {}", doing, e.what()));
  }
}

// Takes the write lock at once: a transaction that reads first and then writes could not wait for its turn.
struct WriteTransaction : SQLite::Transaction {
  explicit WriteTransaction(SQLite::Database& db) : Transaction(db, SQLite::TransactionBehavior::IMMEDIATE) {}
};

inline std::int64_t to_ms(Time time) { return time.time_since_epoch().count(); }
inline Time from_ms(std::int64_t ms) { return Time(Duration(ms)); }

// A prepared statement made ready for its next use; it is reset again when this goes out of scope, so that no
// lock outlives the call.
class Use {
 public:
  explicit Use(SQLite::Statement& statement) : statement_(statement) {}
  Use(const Use&) = delete;
  Use& operator=(const Use&) = delete;
  ~Use() {
    statement_.tryReset();
    try {
      statement_.clearBindings();
    } catch (const std::exception&) {  // cannot fail; a destructor must not throw
    }
  }
  SQLite::Statement* operator->() { return &statement_; }

 private:
  SQLite::Statement& statement_;
};

}  // namespace storage
}  // namespace gyle
