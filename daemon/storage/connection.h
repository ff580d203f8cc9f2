#pragma once

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>
#include <sys/types.h>

#include <algorithm>
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
  std::string path = {};
  dev_t device = 0;  // of the file that was opened
  ino_t inode = 0;
};

namespace storage {

// The meaning of an exception of SQLite or of the work around it: "cannot <doing>: ...", and what to do.
//   Errc::storage   it may work later: busy, full, input or output failed, damaged, the file is gone
//   Errc::conflict  it will never work with the same values: a constraint, a bug of ours
Error failure(std::string_view doing, const std::exception& exception);

// Runs `work`, which returns a Result, and turns what is thrown into its failure().
template <class Work>
auto guarded(std::string_view doing, Work&& work) -> decltype(work()) {
  try {
    return std::forward<Work>(work)();
  } catch (const std::exception& e) {
    return boost::outcome_v2::failure(failure(doing, e));
  }
}

// Takes the write lock at once: a transaction that reads first and then writes could not wait for its turn.
struct WriteTransaction : SQLite::Transaction {
  explicit WriteTransaction(SQLite::Database& db) : Transaction(db, SQLite::TransactionBehavior::IMMEDIATE) {}
};

inline std::int64_t to_ms(Time time) { return time.time_since_epoch().count(); }
// Clamped to the years 1 to 9999: durations are added to these times, and must not overflow.
inline Time from_ms(std::int64_t ms) {
  constexpr std::int64_t kYear1 = -62'135'596'800'000, kYear9999 = 253'402'300'799'999;
  return Time(Duration(std::clamp(ms, kYear1, kYear9999)));
}

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
