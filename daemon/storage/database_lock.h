#pragma once

#include <filesystem>

#include "base/result.h"

namespace gyle {

// While it lives, no other process takes the lock of the same database: two daemons on one would count every
// reading twice. A file beside the database, ".NAME.lock", carries it and is never deleted, so that a missing
// database is noticed. The lock is released when the process ends, however it ends.
class DatabaseLock {
 public:
  // Errc::conflict: another process has it; the message names the database. Errc::storage: the file cannot be
  // made.
  static Result<DatabaseLock> take(const std::filesystem::path& database);

  // There was a database here before, and it is gone.
  bool database_gone() const { return database_gone_; }

  DatabaseLock(DatabaseLock&& other) noexcept;
  DatabaseLock& operator=(DatabaseLock&&) = delete;
  ~DatabaseLock();

 private:
  DatabaseLock(int file, bool database_gone) : file_(file), database_gone_(database_gone) {}
  int file_;
  bool database_gone_;
};

}  // namespace gyle
