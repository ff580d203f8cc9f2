#include "storage/database_lock.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

namespace gyle {

Result<DatabaseLock> DatabaseLock::take(const std::filesystem::path& database) {
  std::error_code ignored;
  // One file may have several names.
  std::filesystem::path path = std::filesystem::weakly_canonical(database, ignored);
  if (path.empty()) path = database;
  const std::filesystem::path file = path.parent_path() / fmt::format(".{}.lock", path.filename().string());
  const auto failed = [&] {
    return fail(Errc::storage, fmt::format("cannot open the database {}: cannot lock it with {}: {}",
                                           database.string(), file.string(), std::strerror(errno)));
  };
  const bool known = std::filesystem::exists(file, ignored);
  // Read only: the lock needs no more, and a file made by another user must do.
  const int opened = ::open(file.c_str(), O_RDONLY | O_CREAT | O_CLOEXEC, 0644);
  if (opened < 0) return failed();
  DatabaseLock lock(opened, known && !std::filesystem::exists(path, ignored));
  if (::flock(opened, LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK) return failed();
    return fail(
        Errc::conflict,
        fmt::format("the database {} is in use by another process of Gylekeeper; stop that one first. "
                    "Two daemons need a database each: see [storage] in the configuration",
                    database.string()));
  }
  return lock;
}

DatabaseLock::DatabaseLock(DatabaseLock&& other) noexcept
    : file_(std::exchange(other.file_, -1)), database_gone_(other.database_gone_) {}

DatabaseLock::~DatabaseLock() {
  if (file_ >= 0) ::close(file_);
}

}  // namespace gyle
