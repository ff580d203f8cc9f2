#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

#include "base/result.h"
#include "base/time.h"

namespace gyle {

// What a database file of ours holds.
struct DatabaseSummary {
  int version = 0;  // of its tables
  std::int64_t bytes = 0;
  std::int64_t batches = 0;
  std::int64_t readings = 0;
  std::int64_t alerts = 0;
  std::int64_t notes = 0;

  bool operator==(const DatabaseSummary&) const = default;
};

// Reads the whole of a database file and says what is in it; nothing is changed.
//   errors  Errc::not_found: no such file; Errc::storage: it cannot be read, is damaged or cut short, is no
//           database of ours, or was written by a newer version
Result<DatabaseSummary> check_database_file(const std::filesystem::path& file);

// Copies a database, which may be in use meanwhile, as it is at one moment. The result is one file, complete
// and on the disk, read again and found to hold what the database held at that moment. Until then its name is
// `file` with ".partial" after it; it is deleted on failure.
//   errors  Errc::conflict: there is such a file already and `overwrite` is not set; as of
//           check_database_file(); Errc::storage: it cannot be written
//   source  SQLite Online Backup API
Result<DatabaseSummary> back_up(const std::filesystem::path& database, const std::filesystem::path& file,
                                bool overwrite = false);

struct Restored {
  DatabaseSummary backup;
  std::optional<std::filesystem::path> kept;  // the file that was there before, renamed; absent: none
};

// Puts a copy of the backup `file` in the place of `database`, which must not be in use. The former file is
// kept beside it, under its name and `now`; at no moment is there no database. An older backup is migrated
// when the daemon opens it.
//   errors  as of check_database_file(); Errc::conflict: somebody uses the database, or `file` is the
//           database itself; Errc::storage: it cannot be written. The database is then as it was.
Result<Restored> restore(const std::filesystem::path& file, const std::filesystem::path& database, Time now);

}  // namespace gyle
