#include "storage/migration.h"

#include <fmt/format.h>

#include <string>

#include "storage/connection.h"

namespace gyle::storage {
namespace {

constexpr int kApplicationId = 0x47796c65;  // "Gyle"

int pragma(SQLite::Database& db, const char* which) {
  return db.execAndGet(std::string("PRAGMA ") + which).getInt();
}

}  // namespace

Status check_ours(SQLite::Database& db) {
  const int newest = static_cast<int>(migrations().size());
  const int version = pragma(db, "user_version");
  const int application = pragma(db, "application_id");
  const bool fresh = application == 0 && version == 0 && pragma(db, "schema_version") == 0;
  if (!fresh && application != kApplicationId) {
    return fail(Errc::storage, "this is the database of another program; give the path of a new file");
  }
  if (version > newest) {
    return fail(
        Errc::storage,
        fmt::format("this database has version {}, written by a newer gylekeeperd; this one knows versions "
                    "up to {}: install the newer one again, or give the path of another file",
                    version, newest));
  }
  return success();
}

Status migrate(SQLite::Database& db, std::optional<int> wanted) {
  const int newest = wanted.value_or(static_cast<int>(migrations().size()));
  BOOST_OUTCOME_TRYV(check_ours(db));
  if (pragma(db, "user_version") == newest) return success();
  WriteTransaction transaction(db);
  BOOST_OUTCOME_TRYV(check_ours(db));  // another process may have been first
  for (int version = pragma(db, "user_version"); version < newest; ++version) {
    db.exec(std::string(migrations()[static_cast<std::size_t>(version)]));
  }
  db.exec(fmt::format("PRAGMA application_id = {}; PRAGMA user_version = {}", kApplicationId, newest));
  transaction.commit();
  return success();
}

}  // namespace gyle::storage
