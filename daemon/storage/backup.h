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

// Copies a database, which may be in use, as it is at one moment; who uses it goes on meanwhile. What comes
// is one file, complete and on the disk, read again and found to hold what the database held at that moment.
// Until then it has the name `file` with ".partial" after it, which is taken away again when it fails.
//   errors  Errc::conflict: there is such a file already and `overwrite` is not set; as of
//           check_database_file(); Errc::storage: it cannot be written
//   source  SQLite Online Backup API
Result<DatabaseSummary> back_up(const std::filesystem::path& database, const std::filesystem::path& file,
                                bool overwrite = false);

struct Restored {
  DatabaseSummary backup;
  std::optional<std::filesystem::path> kept;  // where what was there before is now; absent: nothing was there
};

// Puts a copy of the backup `file` in the place of `database`, which must not be in use. What was there is
// kept beside it, under its name and `now`; there is at no moment no database. An older backup is brought up
// to date when the daemon opens it.
//   errors  as of check_database_file(); Errc::conflict: somebody uses the database, or `file` is the
//           database itself; Errc::storage: it cannot be written. The database is then as it was.
Result<Restored> restore(const std::filesystem::path& file, const std::filesystem::path& database, Time now);

}  // namespace gyle
